// Package protocol says what a programme records and within which limits:
// species sheets, marks, samples, findings, traps, calling order and welfare
// limits, as a team writes them in a YAML file. People, sites, traps and
// trips are lines of the notebook; the file may seed them.
package protocol

import "dawnround/growth"

// Protocol is one version of the file.
type Protocol struct {
	Version  string       `yaml:"-"` // SHA-256 of the text, hex
	Text     string       `yaml:"-"` // the file, byte for byte, as adopting it stores it
	Name     string       `yaml:"name"`
	Zone     string       `yaml:"zone"` // IANA time zone in which nights are told
	About    string       `yaml:"about"`
	Species  []Sheet      `yaml:"species"`
	Marks    []MarkKind   `yaml:"marks"`
	Samples  []SampleKind `yaml:"samples"`
	Findings Vocabulary   `yaml:"findings"`
	Traps    []TrapKind   `yaml:"trap kinds"`
	Limits   []Limit      `yaml:"welfare limits"`

	FollowRules []FollowRule `yaml:"follow-ups"`
	Incidents   []Incident   `yaml:"incidents"`

	Seeds Seeds `yaml:"seeds"`
}

// Sheet is one species: what is measured and seen on it, and what is usual.
type Sheet struct {
	Code       string   `yaml:"code"`
	Name       string   `yaml:"name"`
	Scientific string   `yaml:"scientific"`
	Aliases    []string `yaml:"aliases"`
	Like       string   `yaml:"like"`    // code of an earlier sheet: what is not said here is taken from there
	Bycatch    bool     `yaml:"bycatch"` // one line is enough
	Traits     []Trait  `yaml:"traits"`
	Signs      []Sign   `yaml:"signs"`
	Stages     []Stage  `yaml:"stages"`
	Marks      []string `yaml:"marks"`  // mark kinds used on this species
	Litter     int      `yaml:"litter"` // most young at once; 0: not said
	Teats      int      `yaml:"teats"`
	Order      []string `yaml:"calling order"` // traits, signs and OrderWords
	Retrap     []string `yaml:"retrap order"`  // the short path for an animal seen on this trip
	Required   []string `yaml:"before release"`

	// What ties size to age, the species' own: never taken from another sheet.
	Ageing       []growth.Relation    `yaml:"ageing"`
	Correlations []growth.Correlation `yaml:"residual correlations"`
	Pouch        growth.PouchLife     `yaml:"pouch life"`
}

// Trait is something measured. A trait of the young may have the id of one of
// the animal's own: one length, followed from the pouch on, with conventions
// and errors for each.
type Trait struct {
	ID         string   `yaml:"id"`
	Name       string   `yaml:"name"`
	Unit       string   `yaml:"unit"` // UCUM code: mm, g, Cel
	Aliases    []string `yaml:"aliases"`
	SoundsLike []string `yaml:"sounds like"`
	Convention string   `yaml:"convention"` // without claw, nose pad to crest
	Step       float64  `yaml:"step"`       // what the instrument is read to, in Unit
	Sided      bool     `yaml:"sided"`
	Sex        string   `yaml:"sex"`  // only this sex has it; empty: both
	Bone       bool     `yaml:"bone"` // may not shrink, nor jump in an adult
	Shrinks    bool     `yaml:"may shrink"`
	Error      float64  `yaml:"technical error"`      // s.d. of one reading, in Unit; 0: not known
	Limit      float64  `yaml:"limit between visits"` // used while the technical error is not known
	Source     string   `yaml:"source"`               // of error and limit
	Of         string   `yaml:"of"`                   // "animal" (default) or "young"
	Ranges     []Range  `yaml:"ranges"`
}

// Range is the plausible span of a trait for a sex and stage; outside it a
// value is looked at, outside Never it cannot be.
type Range struct {
	Sex    string    `yaml:"sex"`
	Stage  string    `yaml:"stage"`
	From   float64   `yaml:"from"`
	To     float64   `yaml:"to"`
	Never  []float64 `yaml:"never outside"` // [low, high]
	Source string    `yaml:"source"`
}

// Sign is a state seen and told in a word: pouch, teats, testes.
type Sign struct {
	ID      string   `yaml:"id"`
	Name    string   `yaml:"name"`
	Aliases []string `yaml:"aliases"`
	Sex     string   `yaml:"sex"`
	Of      string   `yaml:"of"` // "animal" (default) or "young"
	Values  []Word   `yaml:"values"`
	Ordered bool     `yaml:"never goes back"` // values are stages that cannot go back: fur, eyes
	Breeds  bool     `yaml:"shows breeding"`
}

// Word is one value of a vocabulary.
type Word struct {
	ID      string   `yaml:"id"`
	Name    string   `yaml:"name"`
	Aliases []string `yaml:"aliases"`
	Parous  bool     `yaml:"parous"`     // she has bred
	Never   bool     `yaml:"never bred"` // she has not
	Young   bool     `yaml:"young"`      // there are young: rows follow
}

// Stage is a life stage, in the order it is lived.
type Stage struct {
	ID      string   `yaml:"id"`
	Name    string   `yaml:"name"`
	Aliases []string `yaml:"aliases"`
	Adult   bool     `yaml:"adult"`
	Young   bool     `yaml:"with mother"`
	Basis   string   `yaml:"basis"`
}

// MarkKind is a kind of mark.
type MarkKind struct {
	ID            string   `yaml:"id"`
	Name          string   `yaml:"name"`
	Form          string   `yaml:"form"` // transponder, tag, other
	Aliases       []string `yaml:"aliases"`
	WithinSpecies bool     `yaml:"within species"` // the same text in two species is two marks
	None          []string `yaml:"none"`           // texts that mean no mark: "0", "-1"
	Sided         bool     `yaml:"sided"`
	Series        []string `yaml:"series"` // batches bought: B001–B250
	MayGo         bool     `yaml:"may be lost"`
	CaseCounts    bool     `yaml:"case counts"` // 58496d and 58496D are two marks
}

// SampleKind is a kind of specimen.
type SampleKind struct {
	ID      string   `yaml:"id"`
	Name    string   `yaml:"name"`
	Aliases []string `yaml:"aliases"`
	Once    bool     `yaml:"once per animal"`
	Medium  string   `yaml:"medium"`
}

// Vocabulary of findings: part × side × sign × grade or counted class.
type Vocabulary struct {
	Parts   []Part       `yaml:"parts"`
	Signs   []FindSign   `yaml:"signs"`
	Classes []CountClass `yaml:"classes"`
}

// Part is a part of the body.
type Part struct {
	ID      string   `yaml:"id"`
	Name    string   `yaml:"name"`
	Aliases []string `yaml:"aliases"`
	Sided   bool     `yaml:"sided"`
}

// FindSign is what may be found there.
type FindSign struct {
	ID       string   `yaml:"id"`
	Name     string   `yaml:"name"`
	Aliases  []string `yaml:"aliases"`
	Counted  bool     `yaml:"counted"` // exact count or class
	Grades   []string `yaml:"grades"`
	Parasite bool     `yaml:"parasite"`
}

// CountClass is a class of counts with its bounds, both included; no High is
// open above.
type CountClass struct {
	ID   string `yaml:"id"`
	Low  int    `yaml:"low"`
	High *int   `yaml:"high"`
}

// TrapKind is a kind of trap.
type TrapKind struct {
	ID   string `yaml:"id"`
	Name string `yaml:"name"`
}

// Limit is a welfare limit, off until the team types it from its own
// approval. It reminds; the approval and local law decide.
type Limit struct {
	ID     string   `yaml:"id"`    // a name of Limits
	Value  *float64 `yaml:"value"` // absent: off
	Source string   `yaml:"source"`
}

// Seeds are lines to enter once, when the protocol is first adopted.
type Seeds struct {
	People []SeedPerson `yaml:"people"`
	Sites  []SeedSite   `yaml:"sites"`
	Labels []SeedLabels `yaml:"labels"`
	Bags   []SeedBag    `yaml:"bags"`
}

// SeedPerson, SeedSite, SeedTrap, SeedLabels and SeedBag become record lines.
type SeedPerson struct {
	Initials string `yaml:"initials"`
	Name     string `yaml:"name"`
	Role     string `yaml:"role"`
}

// SeedSite is a site with its traps.
type SeedSite struct {
	Site  string     `yaml:"site"`
	Name  string     `yaml:"name"`
	Datum string     `yaml:"datum"`    // of every trap below: WGS84, GDA2020, GDA94
	Zone  int        `yaml:"utm zone"` // when traps give east and north; negative south
	Note  string     `yaml:"note"`
	Traps []SeedTrap `yaml:"traps"`
}

// SeedTrap is a trap position, either lat and lon or east and north.
type SeedTrap struct {
	Trap  string  `yaml:"trap"`
	Kind  string  `yaml:"kind"`
	Lat   float64 `yaml:"lat"`
	Lon   float64 `yaml:"lon"`
	East  float64 `yaml:"east"`
	North float64 `yaml:"north"`
	ErrM  float64 `yaml:"accuracy m"`
	From  string  `yaml:"from"`
	To    string  `yaml:"to"`
}

// SeedLabels reserves sample labels.
type SeedLabels struct {
	Kind   string `yaml:"kind"`
	Series string `yaml:"series"`
	Team   string `yaml:"team"`
}

// SeedBag is an empty bag's mass in grams.
type SeedBag struct {
	Bag  string `yaml:"bag"`
	Mass string `yaml:"mass g"`
}
