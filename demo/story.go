package demo

import (
	"fmt"
	"strings"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// A Story is one animal told by hand.
type Story struct {
	ID      string
	Tells   string
	Species string
	Sex     record.Sex
	Born    int // days before the first night of the first trip; 0: not known
	Died    int // days after it; 0: alive, or nobody knows
	Mother  string
	Chips   []string
	Flags   []Raised // what the checks say of it, and they say nothing else
	moments []moment
}

// Raised is a flag that a story raises on a night.
type Raised struct {
	Trip, Night int
	Rule        string
}

// moment is one time it was met. says is what was called, item by item, in
// the order of the bench; see [dictation].
type moment struct {
	trip, night int
	trap        string
	says        string
	then        func(*grower, *scene) // what was written about it afterwards
}

// tale is a story as it goes on.
type tale struct {
	*Story
	truth Animal
	rows  map[string]uuid.UUID // young by the letter they have in the story
}

// scene is a moment come true.
type scene struct {
	*tale
	moment
	tripID      string
	round       uuid.UUID
	who         team
	found, kept time.Time
	capture     uuid.UUID
	check, card uuid.UUID // lines
	misread     string
}

// tell lays the stories out for the trips.
func (g *grower) tell() {
	for i := range Stories {
		s := &Stories[i]
		t := &tale{Story: s, rows: map[string]uuid.UUID{}, truth: Animal{ID: s.ID, Told: s.Tells, Species: s.Species, Sex: s.Sex, Mother: s.Mother, Site: s.moments[0].trap[:1]}}
		if s.Born > 0 {
			t.truth.Born = g.dated(-s.Born)
		}
		if s.Died > 0 {
			t.truth.Died, t.truth.How = g.dated(s.Died), "died"
		}
		g.told = append(g.told, t)
		g.chips.out = append(g.chips.out, s.Chips...)
	}
}

// tale finds a story by its animal.
func (g *grower) tale(id string) *tale {
	for _, t := range g.told {
		if t.ID == id {
			return t
		}
	}
	panic("demo: no story of " + id)
}

// last is the latest capture of a story so far.
func (t *tale) last() Caught { return t.truth.Captures[len(t.truth.Captures)-1] }

// toldAt is the moment that happens in a trap on a night, nil where none does.
func (g *grower) toldAt(t trip, n int, trap string) *scene {
	for _, s := range g.told {
		for _, m := range s.moments {
			if m.trip == t.number && m.night == n && m.trap == trap {
				return &scene{tale: s, moment: m, tripID: t.id}
			}
		}
	}
	return nil
}

// story is a trap that holds an animal of the stories, or is told empty.
func (w *walk) story(trap string, s *scene) {
	s.who, s.found, s.round = w.who, w.at, w.id
	w.met = append(w.met, s)
	if s.says == "empty" {
		w.pen.write(w.at, w.who.scribe, w.check(trap, record.OutcomeEmpty))
		return
	}
	s.capture, s.check = w.caught(trap)
	tare, _ := w.bag(s.capture, s.Species)
	h := w.bench(s.Species, tare, w.start())
	h.species()
	d := dictation{bench: h, scene: s, walk: w}
	for _, item := range strings.Split(s.says, "; ") {
		d.take(item)
	}
	if h.released.Fate == "" {
		h.letGo(record.FateReleased, "", "", "")
	}
	s.card, s.kept = w.keep(h, s.capture), w.free
	if h.released.Fate.Ends() {
		s.truth.Died, s.truth.How = w.night, "died in a trap"
	}
	s.truth.Captures = append(s.truth.Captures, Caught{Capture: s.capture, Night: w.night, Site: w.site.Site, Trap: trap, Misread: s.misread})
}

// afterwards writes what the crew had to say once the traps were done.
func (s *scene) afterwards(g *grower) {
	if s.then != nil {
		s.then(g, s)
	}
}

// dictation takes the words of a story, item by item:
//
//	new · recapture · retrap · dead                 status
//	chip · chip2 · chip+ · chip+2 · chip-           its chips: read, put, gone
//	typed 9990000…                                  a number typed from the reader's screen
//	tag T001 · tag+ T001                            its ear tag: read, put
//	female · male · juvenile · subadult · adult · young at foot
//	net 3260 · pes 131.2 · tail 433 damaged · nc ear struggling
//	pouch occupied · teats elongated · condition good
//	find eye/left/tick/3 · biopsy · brief · notes …
//	young a/in pouch/yes · cr 71 · female · skin …  the row, then what is said of it
//	happened kind|says|aid|outcome
//	release fate|with young|behaviour|why
type dictation struct {
	*bench
	scene *scene
	walk  *walk
	row   *row
}

var statuses = map[string]record.Status{"new": record.New, "recapture": record.Recapture, "retrap": record.Retrap, "dead": record.FoundDead}

func (d *dictation) take(item string) {
	word, rest, _ := strings.Cut(item, " ")
	switch word {
	case "new", "recapture", "retrap", "dead":
		d.status(statuses[word])
	case "female", "male":
		d.sexed(record.Sex(word))
	case "juvenile", "subadult", "adult":
		d.stage(word)
	case "brief":
		d.brief()
	case "biopsy":
		d.walk.biopsy(d.bench)
	case "notes":
		d.notes(rest)
	case "net":
		d.net(rest)
	case "cr", "yhead", "ypes":
		d.row.measure(map[string]string{"cr": crown, "yhead": head, "ypes": pes}[word], rest)
	case "skin", "fur", "eyes":
		d.row.sign(word, rest)
	case "testis":
		d.measure(testis+".left", rest)
	case pes, tail, head, ear:
		d.measure(word, rest)
	case "nc":
		trait, why, _ := strings.Cut(rest, " ")
		d.notChecked(trait, why)
	case "pouch", "teats", "lactating", "testes", "condition":
		d.sign(word, rest)
	default:
		d.longer(word, rest, item)
	}
}

// longer takes what has parts of its own.
func (d *dictation) longer(word, rest, item string) {
	switch word {
	case "typed":
		d.scene.misread = rest
		d.mark(record.Mark{Kind: chipKind, Text: rest, How: "typed"})
	case "tag", "tag+":
		d.tag(word, rest)
	case "find":
		p := strings.Split(rest, "/")
		d.find(p[0], strings.Trim(p[1], "-"), p[2], p[3])
	case "happened":
		p := strings.Split(rest, "|")
		d.happened(p[0], p[1], p[2], p[3])
	case "release":
		p := strings.Split(rest, "|")
		d.letGo(record.Fate(p[0]), p[1], p[2], p[3])
	case "young":
		d.youngOne(rest)
	default:
		d.chip(item)
	}
}

func (d *dictation) sexed(s record.Sex) {
	if d.row != nil {
		d.row.sex(s)
		return
	}
	d.sex(s)
}

func (d *dictation) net(grams string) {
	q, err := record.ParseQuantity(grams)
	if err != nil {
		panic("demo: " + err.Error())
	}
	step := wallaby.step
	if d.sheet.Code == bandicoot.code {
		step = bandicoot.step
	}
	d.weigh(q.Value(), step)
}

// youngOne begins a row; "young at foot" is a life stage.
func (d *dictation) youngOne(rest string) {
	if rest == "at foot" {
		d.stage("young at foot")
		return
	}
	p := strings.Split(rest, "/")
	if d.scene.rows[p[0]] == uuid.Nil {
		d.scene.rows[p[0]] = d.walk.pen.ids.id(d.at)
	}
	d.row = d.young(d.scene.rows[p[0]])
	d.row.is(p[1], p[2])
}

func (d *dictation) tag(word, text string) {
	m := record.Mark{Kind: tagKind, Text: text, Side: "left", How: "read"}
	if word == "tag+" {
		m.Act = record.MarkPut
		d.bears(m)
	}
	d.mark(m)
}

func (d *dictation) bears(m record.Mark) {
	d.scene.truth.Marks = append(d.scene.truth.Marks, Borne{Kind: m.Kind, Text: m.Text, Put: d.walk.night})
}

// chip reads, puts or misses one of the story's chips.
func (d *dictation) chip(item string) {
	number := 0
	if strings.HasSuffix(item, "2") {
		number = 1
	}
	m := record.Mark{Kind: chipKind, Text: d.scene.Chips[number], How: "scanned"}
	switch strings.TrimSuffix(item, "2") {
	case "chip":
	case "chip+":
		m.Act = record.MarkPut
		d.bears(m)
	case "chip-":
		m.Act = record.MarkGone
		d.loses(m.Text)
	default:
		panic(fmt.Sprintf("demo: story of %s: nobody says %q", d.scene.ID, item))
	}
	d.mark(m)
}

func (d *dictation) loses(text string) {
	for i := range d.scene.truth.Marks {
		if d.scene.truth.Marks[i].Text == text {
			d.scene.truth.Marks[i].Lost = true
		}
	}
}
