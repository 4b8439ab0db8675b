package protocol

import (
	"fmt"
	"slices"
	"strings"
)

// HeardAs are measurements by their usual ids as a transcriber may write them,
// beside what a sheet says under "sounds like". Common practice, no source.
var HeardAs = map[string]string{
	"mass":       "wait, way, waits, wade",
	"head":       "ahead, hid, heard, had, hed, hare",
	"pes":        "peas, piece, pace, pets, paise, pez, pass, peace, pays, pest, pieces, peers, pears, pays is, piss",
	"tail":       "tales, tale, tell, tile, tails, tell is, tay",
	"ear":        "year, here, beer, hear, air, ears",
	"testis":     "test is, testees, test ease, testies, test this",
	"crown-rump": "ground rump, crown rub, crown romp, ground rub, crown rum, brown rump, crown ramp",
}

// numberWords are numbers, and what is heard for them.
var numberWords = strings.Fields("nought zero oh one won two too to three tree four for fore five fife six sicks seven eight ate nine nein ten eleven twelve hundred thousand point dot half double triple")

// A said word is one that a sheet gives a meaning, and where it stands.
type saidWord struct {
	text  string
	of    *string // the id it means
	at    *string // the field it stands in
	heard bool    // only a mishearing of it
	kind  saidKind
}

// saidKind is what follows a word: a number, a state, a name. Words of two kinds
// are told apart by what follows them.
type saidKind uint8

const (
	ofTrait saidKind = iota
	ofSign
	ofStage
	ofMark
	ofSample
)

// SoundAlikes tells which words of one species sheet cannot be told apart by
// ear: a word that is the mishearing of another, two that sound the same, and
// one that sounds like a number. The file can be adopted all the same; each
// problem says on which lines the words stand and what to do. A file that
// cannot be adopted has none: see [Parse].
func SoundAlikes(name string, text []byte) []Problem {
	p := &Protocol{}
	r := &review{spots: map[any]spot{}, unread: map[spot]bool{}}
	if !r.yaml(text, p) {
		return nil
	}
	p.inherit(r)
	r.problems = nil
	for i := range p.Species {
		r.soundAlikes(said(p, &p.Species[i], ""))
		r.soundAlikes(said(p, &p.Species[i], OfYoung))
	}
	return Refuse(name, r.problems).Problems
}

// said are the words of a sheet that begin what is said: of traits, signs,
// stages, marks and samples. Of young it is their traits and signs only.
func said(p *Protocol, s *Sheet, of string) []saidWord {
	var all []saidWord
	add := func(kind saidKind, id *string, name *string, aliases []string) {
		all = append(all, saidWord{text: *id, of: id, at: id, kind: kind}, saidWord{text: *name, of: id, at: name, kind: kind})
		for i := range aliases {
			all = append(all, saidWord{text: aliases[i], of: id, at: &aliases[i], kind: kind})
		}
	}
	for i := range s.Traits {
		t := &s.Traits[i]
		if (t.Of == OfYoung) != (of == OfYoung) {
			continue
		}
		add(ofTrait, &t.ID, &t.Name, t.Aliases)
		for k := range t.SoundsLike {
			all = append(all, saidWord{text: t.SoundsLike[k], of: &t.ID, at: &t.SoundsLike[k], heard: true})
		}
		for w := range strings.SplitSeq(HeardAs[t.ID], ", ") {
			all = append(all, saidWord{text: w, of: &t.ID, at: &t.ID, heard: true})
		}
	}
	for i := range s.Signs {
		if g := &s.Signs[i]; (g.Of == OfYoung) == (of == OfYoung) {
			add(ofSign, &g.ID, &g.Name, g.Aliases)
		}
	}
	if of == OfYoung {
		return all
	}
	for i := range s.Stages {
		add(ofStage, &s.Stages[i].ID, &s.Stages[i].Name, s.Stages[i].Aliases)
	}
	for i := range p.Marks {
		if slices.Contains(s.Marks, p.Marks[i].ID) {
			add(ofMark, &p.Marks[i].ID, &p.Marks[i].Name, p.Marks[i].Aliases)
		}
	}
	for i := range p.Samples {
		add(ofSample, &p.Samples[i].ID, &p.Samples[i].Name, p.Samples[i].Aliases)
	}
	return all
}

// soundAlikes notes each word that sounds like one of another meaning further
// up, or like a number.
func (r *review) soundAlikes(all []saidWord) {
	for i, w := range all {
		text := strings.ToLower(strings.TrimSpace(w.text))
		if text == "" {
			continue
		}
		if !w.heard && slices.Contains(numberWords, text) {
			r.say(w.at, fmt.Sprintf("%q sounds like a number", w.text), "call it something else, or the number behind it is lost")
		}
		for _, o := range all[:i] {
			other := strings.ToLower(strings.TrimSpace(o.text))
			if other == "" || strings.EqualFold(*o.of, *w.of) || w.heard && o.heard && w.at == w.of && o.at == o.of {
				continue
			}
			switch {
			case text == other && (w.heard || o.heard):
				r.collide(w, o, "is heard for")
			case w.kind != o.kind:
			case text == other:
				r.collide(w, o, "is the same word as")
			case text != other && !w.heard && !o.heard && sound(text) != "" && sound(text) == sound(other):
				r.collide(w, o, "sounds like")
			}
		}
	}
}

// collide notes two words of two meanings at the later of them in the file.
func (r *review) collide(a, b saidWord, how string) {
	if r.spots[b.at].line > r.spots[a.at].line {
		a, b = b, a
	}
	r.say(a.at, fmt.Sprintf("%s %q %s %s %q (line %d)", *a.of, a.text, how, *b.of, b.text, r.spots[b.at].line), "take it from one of them, or choose a word that sounds apart")
}

// sound is a word's consonants as they are heard, so that words that sound the
// same have the same: tail and tale, pes and pace. Empty for a short word of
// which that says nothing.
func sound(word string) string {
	if strings.Contains(word, " ") || len(word) < 3 {
		return ""
	}
	for _, s := range []struct{ written, heard string }{
		{"ph", "f"}, {"kn", "n"}, {"wr", "r"}, {"gh", ""}, {"ck", "k"}, {"sch", "sk"}, {"ch", "C"}, {"sh", "S"}, {"th", "T"}, {"ce", "s"}, {"ci", "s"}, {"cy", "s"}, {"c", "k"}, {"q", "k"}, {"x", "ks"}, {"z", "s"}, {"dge", "j"},
	} {
		word = strings.ReplaceAll(word, s.written, s.heard)
	}
	var b strings.Builder
	var last rune
	for i, c := range word {
		switch {
		case strings.ContainsRune("aeiouyh'-", c) && i > 0, c == last:
		default:
			b.WriteRune(c)
		}
		last = c
	}
	if b.Len() < 2 {
		return ""
	}
	return b.String()
}
