package score

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"

	"dawnround/call"
)

// A pair is one key of a JSON object, in the order written.
type pair struct {
	key   string
	value json.RawMessage
}

// pairs reads a JSON object and keeps the order of its keys.
func pairs(text []byte) ([]pair, error) {
	d := json.NewDecoder(bytes.NewReader(text))
	if _, err := d.Token(); err != nil {
		return nil, err
	}
	var out []pair
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return nil, err
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return nil, err
		}
		name, ok := key.(string)
		if !ok {
			return nil, fmt.Errorf("%s: expected an object", text)
		}
		out = append(out, pair{name, value})
	}
	return out, nil
}

// A scene is what the column "given" says, for the reader and for the choice
// of the sheet.
type scene struct {
	given   call.Given
	species string
	teats   int
}

// Given reads the scene before a phrase, written in JSON as given.md has it.
func Given(text string) (call.Given, error) {
	s, err := readScene(text)
	return s.given, err
}

// readScene reads the column "given". Adult is the age class unless it says
// another.
func readScene(text string) (scene, error) {
	s := scene{given: call.Given{Stage: "adult"}}
	all, err := pairs([]byte(text))
	if err != nil {
		return s, fmt.Errorf("given %s: %w", text, err)
	}
	for _, p := range all {
		if err := s.take(p); err != nil {
			return s, fmt.Errorf("given %s: %w", p.key, err)
		}
	}
	return s, nil
}

// take reads one key of given.md.
func (s *scene) take(p pair) error {
	g := &s.given
	switch p.key {
	case "so_far":
		return fields(&g.SoFar, p.value)
	case "open_animals":
		return s.openAnimals(p.value)
	case "previous_animal":
		return fields(&g.Previous, p.value)
	case "read_back":
		return fields(&g.ReadBack, p.value)
	case "last_visit":
		return s.lastVisit(p.value)
	case "nothing_open":
		return json.Unmarshal(p.value, &g.NothingOpen)
	case "order":
		return s.order(p.value)
	case "order_at":
		return address(&g.OrderAt, p.value)
	case "asked":
		return s.asked(p.value)
	case "repeat_readings":
		return s.repeats(p.value)
	case "speaker":
		return json.Unmarshal(p.value, &g.Speaker)
	case "source":
		return json.Unmarshal(p.value, &g.Source)
	case "pause_plausible":
		return json.Unmarshal(p.value, &g.Pause)
	case "known_marks":
		return s.knownMarks(p.value)
	case "known_traps":
		return json.Unmarshal(p.value, &g.Traps)
	case "labels_used":
		return json.Unmarshal(p.value, &g.Labels)
	case "samples_on_file":
		return s.samples(p.value)
	}
	return s.takeState(p)
}

// takeState reads the keys about the animal and the scale.
func (s *scene) takeState(p pair) error {
	g := &s.given
	switch p.key {
	case "scale_tared":
		var tared bool
		err := json.Unmarshal(p.value, &tared)
		g.NotTared = !tared
		return err
	case "tare_g":
		if string(p.value) != "null" {
			g.Tare = string(p.value)
		}
	case "age_class":
		var class string
		err := json.Unmarshal(p.value, &class)
		g.Stage = stageOf(class)
		return err
	case "species":
		return json.Unmarshal(p.value, &s.species)
	case "multi_young", "litter":
		return json.Unmarshal(p.value, &g.Litter)
	case "teats_total":
		return json.Unmarshal(p.value, &s.teats)
	case "litter_size":
		return json.Unmarshal(p.value, &g.LitterSize)
	case "same_session":
		return json.Unmarshal(p.value, &g.SameTrip)
	case "incident":
		return json.Unmarshal(p.value, &g.Incident)
	case "noise":
		g.Noisy = true
	case "handler_said", "previous_name", "previous_released", "mother_young", "stage", "chip_prefix", "chip_digits", "trap_names", "ranges":
		// background, or the default of every row
	default:
		return fmt.Errorf("no such key in given.md")
	}
	return nil
}

func stageOf(class string) string {
	if class == "pouch_young" {
		return "pouch young"
	}
	return class
}

// fields reads recorded values in their order; the side of the foot belongs to
// the foot.
func fields(to *[]call.Known, text []byte) error {
	all, err := pairs(text)
	if err != nil {
		return err
	}
	side := ""
	for _, p := range all {
		value := plain(p.value)
		if p.key == "pes_side" {
			side = value
			continue
		}
		at, ok := addressOf[p.key]
		if !ok {
			return fmt.Errorf("no field %q", p.key)
		}
		if at == "stage" {
			value = stageOf(value)
		}
		*to = append(*to, call.Known{At: at, Value: ours(at, value)})
	}
	for i := range *to {
		if (*to)[i].At == "measures/pes" {
			(*to)[i].Side = side
		}
	}
	return nil
}

// plain is a JSON value as text: numbers as written, strings without quotes,
// true as yes.
func plain(value json.RawMessage) string {
	var text string
	if json.Unmarshal(value, &text) == nil {
		return text
	}
	switch string(value) {
	case "true":
		return "yes"
	case "false":
		return "no"
	case "null":
		return ""
	}
	return string(value)
}

func (s *scene) openAnimals(text []byte) error {
	var open []struct {
		Fields json.RawMessage `json:"fields"`
	}
	if err := json.Unmarshal(text, &open); err != nil || len(open) == 0 {
		return err
	}
	s.given.SoFar = nil
	if len(open[0].Fields) == 0 {
		return nil
	}
	return fields(&s.given.SoFar, open[0].Fields)
}

func (s *scene) lastVisit(text []byte) error {
	var odd struct {
		Class string   `json:"age_class"`
		Hours *float64 `json:"hours_ago"`
	}
	if err := json.Unmarshal(text, &odd); err != nil {
		return err
	}
	all, err := pairs(text)
	if err != nil {
		return err
	}
	var rest bytes.Buffer
	rest.WriteByte('{')
	for _, p := range all {
		if _, ok := addressOf[p.key]; (ok || p.key == "pes_side") && p.key != "age_class" {
			if rest.Len() > 1 {
				rest.WriteByte(',')
			}
			fmt.Fprintf(&rest, "%q:%s", p.key, p.value)
		}
	}
	rest.WriteByte('}')
	s.given.LastStage = stageOf(odd.Class)
	if err := fields(&s.given.Last, rest.Bytes()); err != nil {
		return err
	}
	if odd.Hours != nil {
		s.given.Last = append(s.given.Last, call.Known{At: "hours ago", Value: strconv.FormatFloat(*odd.Hours, 'f', -1, 64)})
	}
	return nil
}

func address(to *string, text []byte) error {
	var name string
	if err := json.Unmarshal(text, &name); err != nil {
		return err
	}
	at, ok := addressOf[name]
	if !ok {
		return fmt.Errorf("no field %q", name)
	}
	*to = at
	return nil
}

func (s *scene) order(text []byte) error {
	var names []string
	if err := json.Unmarshal(text, &names); err != nil {
		return err
	}
	for _, name := range names {
		at, ok := addressOf[name]
		if !ok {
			at = name
		}
		s.given.Order = append(s.given.Order, at)
	}
	return nil
}

func (s *scene) asked(text []byte) error {
	var asked struct{ Field, Form string }
	if err := json.Unmarshal(text, &asked); err != nil {
		return err
	}
	s.given.Asked, s.given.FullNumber = addressOf[asked.Field], asked.Form == "full"
	return nil
}

func (s *scene) repeats(text []byte) error {
	var repeats struct{ Field string }
	if err := json.Unmarshal(text, &repeats); err != nil {
		return err
	}
	s.given.Repeats = addressOf[repeats.Field]
	return nil
}

func (s *scene) knownMarks(text []byte) error {
	var marks []map[string]string
	if err := json.Unmarshal(text, &marks); err != nil {
		return err
	}
	for _, m := range marks {
		s.given.Marks = append(s.given.Marks, call.KnownMark{Text: m["chip"], Sex: m["sex"]})
	}
	return nil
}

func (s *scene) samples(text []byte) error {
	var kinds []string
	if err := json.Unmarshal(text, &kinds); err != nil {
		return err
	}
	for _, k := range kinds {
		s.given.Samples = append(s.given.Samples, ours("samples/kind", k))
	}
	return nil
}
