package desk

import (
	"encoding/json"
	"fmt"
	"math"
	"net/url"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// Field is one value of a line, as it can be shown and corrected.
type Field struct {
	Pointer string   `json:"pointer"` // JSON Pointer (RFC 6901) into the line's body
	Label   string   `json:"label"`
	Text    string   `json:"text"` // as people read it
	Typed   string   `json:"-"`    // as it is written into a form
	Options []string `json:"-"`    // where only these words can stand

	was any // the value as it stands
}

// choices are the words that a type can take.
var choices = map[reflect.Type][]string{
	reflect.TypeFor[record.Sex]():       {"", "female", "male", "not told"},
	reflect.TypeFor[record.Status]():    {"", "new", "recapture", "retrap", "dead"},
	reflect.TypeFor[record.MarkAct]():   {"", "put", "gone", "old"},
	reflect.TypeFor[record.Certainty](): {"", "certain", "likely", "suspected"},
	reflect.TypeFor[bool]():             {"no", "yes"},
	reflect.TypeFor[record.Fate](): {
		"released", "released elsewhere", "to vet", "kept", "died", "euthanased", "escaped",
	},
	reflect.TypeFor[record.Outcome](): {
		"capture", "empty", "sprung", "bait taken", "escaped", "disabled", "not set", "not checked",
	},
}

// whole are the types shown and corrected as one value.
var whole = []reflect.Type{
	reflect.TypeFor[time.Time](), reflect.TypeFor[record.Night](), reflect.TypeFor[record.Quantity](),
	reflect.TypeFor[record.Reading](), reflect.TypeFor[record.Sign](), reflect.TypeFor[[]string](),
}

// reader walks a body and lists its values in the order of the record.
type reader struct {
	words
	sheet  *protocol.Sheet
	blank  bool // list what is not written too
	fields []Field
}

// fields lists the values that a body holds; with blank those too that it
// could hold.
func (w words) fields(b record.Body, blank bool) []Field {
	r := &reader{words: w, sheet: w.sheetOf(b), blank: blank}
	r.value(nil, reflect.ValueOf(b))
	if c, ok := b.(record.Capture); ok && blank && c.Handled != nil {
		r.unmeasured(c.Handled)
	}
	return r.fields
}

// sheetOf is the sheet under which a line's measures are named.
func (w words) sheetOf(b record.Body) *protocol.Sheet {
	c, ok := b.(record.Capture)
	if !ok || c.Handled == nil {
		return w.sheet("")
	}
	return w.sheet(c.Handled.Species)
}

// value lists one value, or those within it. path is the pointer's tokens.
func (r *reader) value(path []string, v reflect.Value) {
	down := func(token string) []string { return append(path[:len(path):len(path)], token) }
	switch t := v.Type(); {
	case t == reflect.TypeFor[uuid.UUID](), t == reflect.TypeFor[json.RawMessage](), t == reflect.TypeFor[notebook.Blob](), aside(path):
	case slices.Contains(whole, t):
		r.leaf(path, v)
	case v.Kind() == reflect.Pointer && !v.IsNil():
		r.value(path, v.Elem())
	case v.Kind() == reflect.Pointer:
		if e := t.Elem(); r.blank && (e == reflect.TypeFor[record.Quantity]() || e == reflect.TypeFor[record.Weighing]()) {
			r.value(path, reflect.Zero(e))
		}
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			if f := t.Field(i); f.Anonymous {
				r.value(path, v.Field(i))
			} else {
				name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
				r.value(down(name), v.Field(i))
			}
		}
	case v.Kind() == reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			r.value(down(k.String()), v.MapIndex(k))
		}
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			r.value(down(strconv.Itoa(i)), v.Index(i))
		}
	default:
		r.leaf(path, v)
	}
}

// aside are the parts of a line that have a place of their own on the page.
func aside(path []string) bool {
	last := ""
	if len(path) > 0 {
		last = path[len(path)-1]
	}
	return last == "steps" || last == "flags" || strings.HasSuffix(last, "_px") || last == "from" && len(path) == 1 || last == "text" && len(path) == 1
}

func (r *reader) leaf(path []string, v reflect.Value) {
	if v.IsZero() && !r.blank {
		return
	}
	f := Field{Pointer: pointer(path), Label: r.label(r.sheet, path), Options: choices[v.Type()], was: v.Interface()}
	f.Text, f.Typed = r.text(r.unitAt(path), f.was)
	if f.Pointer == "/handled/protocol" {
		f.Text = version(f.Text)
	}
	r.fields = append(r.fields, f)
}

// unmeasured lists the traits and signs of the sheet that nobody wrote.
func (r *reader) unmeasured(h *record.Handled) {
	for _, t := range r.sheet.Traits {
		if _, ok := h.Measures[t.ID]; !ok && t.Of != "young" && !t.Sided {
			r.leaf([]string{"handled", "measures", t.ID}, reflect.ValueOf(record.Reading{}))
		}
	}
	for _, g := range r.sheet.Signs {
		if _, ok := h.Signs[g.ID]; !ok && g.Of != "young" {
			r.leaf([]string{"handled", "signs", g.ID}, reflect.ValueOf(record.Sign{}))
		}
	}
}

// text is a value as people read it and as it is typed.
func (r *reader) text(unit string, value any) (text, typed string) {
	switch v := value.(type) {
	case time.Time:
		if v.IsZero() {
			return "", ""
		}
		v = v.In(r.zone)
		return v.Format("15:04, 2 January 2006"), v.Format(typedTime)
	case record.Night:
		if v.IsZero() {
			return "", ""
		}
		return v.Words(), v.String()
	case record.Quantity:
		return spaced(v.Typed, unit), v.Typed
	case record.Reading:
		text = reading(v, unit)
		if typed = v.Typed; v.Is() != record.Seen {
			typed = state(v.State, v.Why)
		}
	case record.Sign:
		text, typed = signValue(v), v.Value
		if v.Is() != record.Seen {
			typed = state(v.State, v.Why)
		}
	case []string:
		return strings.Join(v, ", "), strings.Join(v, "; ")
	case bool:
		typed = map[bool]string{true: "yes", false: "no"}[v]
		return typed, typed
	default:
		typed = fmt.Sprint(v)
		return typed, typed
	}
	if typed == "unknown" {
		return "", ""
	}
	return text, typed
}

// typedTime is how a time is written into a form, in the programme's zone.
const typedTime = "2006-01-02 15:04"

// parse reads what was typed into a field's form: the value to correct to, nil
// to take the field away.
func (w words) parse(f Field, typed string) (any, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return nil, nil
	}
	if f.Options != nil && !slices.Contains(f.Options, typed) {
		return nil, fmt.Errorf("%s: %q: write one of %s", f.Label, typed, joined(", ", slices.Clone(f.Options)...))
	}
	value, err := w.parseAs(f.was, typed)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Label, err)
	}
	return value, nil
}

func (w words) parseAs(was any, typed string) (any, error) {
	switch v := was.(type) {
	case time.Time:
		t, err := time.ParseInLocation(typedTime, typed, w.zone)
		if err != nil {
			return nil, fmt.Errorf("%q: write day and time like 2026-05-14 05:40", typed)
		}
		return t.UTC(), nil
	case record.Night:
		return record.ParseNight(typed)
	case record.Quantity:
		return record.ParseQuantity(typed)
	case record.Reading:
		return parseReading(v, typed)
	case record.Sign:
		s, why, ok := parseState(typed)
		if ok {
			return record.Sign{State: s, Why: why}, nil
		}
		return record.Sign{Value: typed, How: v.How}, nil
	case []string:
		var list []string
		for item := range strings.SplitSeq(typed, ";") {
			if item = strings.TrimSpace(item); item != "" {
				list = append(list, item)
			}
		}
		return list, nil
	case bool:
		return typed == "yes", nil
	case int:
		n, err := strconv.Atoi(typed)
		if err != nil {
			return nil, fmt.Errorf("%q: write a whole number", typed)
		}
		return n, nil
	case float64:
		x, err := strconv.ParseFloat(typed, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, fmt.Errorf("%q: write a number", typed)
		}
		return x, nil
	}
	return typed, nil
}

// parseReading keeps convention and damage of the reading it replaces.
func parseReading(was record.Reading, typed string) (any, error) {
	if s, why, ok := parseState(typed); ok {
		return record.Reading{State: s, Why: why}, nil
	}
	q, err := record.ParseQuantity(typed)
	if err != nil {
		return nil, err
	}
	was.Quantity, was.State, was.Why = q, record.Unknown, ""
	return was, nil
}

// parseState reads "none seen" and "not checked: wriggling".
func parseState(typed string) (s record.State, why string, ok bool) {
	word, why, _ := strings.Cut(typed, ":")
	s = record.State(strings.TrimSpace(word))
	return s, strings.TrimSpace(why), s == record.NoneSeen || s == record.NotChecked
}

// plainly are the labels that the record's own names would leave unclear.
var plainly = map[string]string{
	"/bagged/bag": "bag", "/bagged/species": "species at first sight", "/handled/weighing/gross": "gross mass", "/handled/weighing/bag": "mass of the bag",
	"/handled/weighing/bag_after": "mass of the bag after", "/handled/weighing/net": "net mass", "/released/fate": "fate", "/at/found": "found",
	"/handled/start": "handling began", "/handled/end": "handling ended", "/at": "when",
}

// label says which value a path leads to.
func (w words) label(s *protocol.Sheet, path []string) string {
	if plain, ok := plainly[pointer(path)]; ok {
		return plain
	}
	young := slices.Contains(path, "young")
	var out []string
	for i := 0; i < len(path); i++ {
		next := ""
		if i+1 < len(path) {
			next = path[i+1]
		}
		switch token := path[i]; {
		case token == "handled" && next != "", token == "weighing" && next != "", token == "at" && i == 0 && next != "":
		case token == "measures" && next != "":
			name, _ := trait(s, next, young)
			out = append(out, name)
			i++
		case token == "signs" && next != "":
			out = append(out, signName(s, next, young))
			i++
		case number(next):
			n, _ := strconv.Atoi(next)
			out = append(out, fmt.Sprintf("%s %d", strings.TrimSuffix(token, "s"), n+1))
			i++
		default:
			out = append(out, strings.ReplaceAll(token, "_", " "))
		}
	}
	return strings.Join(out, " ")
}

func (r *reader) unitAt(path []string) string {
	if i := slices.Index(path, "measures"); i >= 0 && i+1 < len(path) {
		_, u := trait(r.sheet, path[i+1], slices.Contains(path, "young"))
		return unit(u)
	}
	if slices.Contains(path, "weighing") || slices.Contains(path, "mass") {
		return "g"
	}
	return ""
}

func number(s string) bool {
	_, err := strconv.Atoi(s)
	return err == nil
}

// fieldOf is the field of a line that a pointer names, also where nothing
// stands there.
func (w words) fieldOf(line uuid.UUID, pointer string) Field {
	e, ok := w.Line(line)
	if !ok || e.Body == nil {
		return Field{Pointer: pointer, Label: pointer}
	}
	body := e.Now()
	if body == nil {
		body = e.Body
	}
	for _, f := range w.fields(body, true) {
		if f.Pointer == pointer {
			return f
		}
	}
	return Field{Pointer: pointer, Label: w.label(w.sheetOf(body), tokens(pointer))}
}

// jsonWords is a value of a correction in words.
func (w words) jsonWords(value json.RawMessage) string {
	var v any
	if err := json.Unmarshal(value, &v); err != nil || v == nil {
		return "nothing"
	}
	return w.anyWords(v)
}

func (w words) anyWords(v any) string {
	switch v := v.(type) {
	case map[string]any:
		if typed, ok := v["typed"].(string); ok && typed != "" {
			return typed
		}
		var out []string
		for _, k := range sorted(v) {
			if k != "milli" && k != "typed" {
				out = append(out, strings.ReplaceAll(k, "_", " ")+" "+w.anyWords(v[k]))
			}
		}
		return strings.Join(out, ", ")
	case []any:
		var out []string
		for _, x := range v {
			out = append(out, w.anyWords(x))
		}
		return strings.Join(out, ", ")
	case string:
		if t, err := time.Parse(time.RFC3339, v); err == nil {
			return t.In(w.zone).Format(typedTime)
		}
		return v
	}
	return fmt.Sprint(v)
}

var escapePointer, readPointer = strings.NewReplacer("~", "~0", "/", "~1"), strings.NewReplacer("~1", "/", "~0", "~")

func pointer(path []string) string {
	var b strings.Builder
	for _, p := range path {
		b.WriteString("/" + escapePointer.Replace(p))
	}
	return b.String()
}

func tokens(pointer string) []string {
	if pointer == "" {
		return nil
	}
	out := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
	for i, p := range out {
		out[i] = readPointer.Replace(p)
	}
	return out
}

// asTime is a time that was parsed, the zero time where none was typed.
func asTime(v any) time.Time {
	t, _ := v.(time.Time)
	return t
}

// hint says how a field is written.
func (f Field) hint() string {
	switch f.was.(type) {
	case time.Time:
		return "day and time, like 2026-05-14 05:40; empty takes it away"
	case record.Night:
		return "the evening the traps were set, like 2026-05-13"
	case record.Quantity:
		return "a number, like 61.8; empty takes it away"
	case record.Reading:
		return "a number, like 61.8; or none seen; or not checked: why"
	case record.Sign:
		return "a word of the protocol; or none seen; or not checked: why"
	case []string:
		return "with semicolons between"
	}
	return "empty takes it away"
}

func escapeQuery(s string) string { return url.QueryEscape(s) }
