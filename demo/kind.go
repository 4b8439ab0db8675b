package demo

// kind is how one invented species lives. Times are in days.
type kind struct {
	code   string
	sizes  grows
	exit   int // leaves the pouch
	weaned int // leaves its mother
	about  int // may walk into a trap
	breeds int // youngest mother
	old    int

	again    [2]int  // from an empty pouch to the next birth
	atOnce   float64 // share of mothers that give birth as the last young leaves
	afterOut int     // least days from a lost litter to the next birth
	winter   float64 // breeding in midwinter as a share of midsummer

	daily [5]float64 // chance to die in a day: in the pouch, at foot, growing, grown, old

	capacity int     // on one ridge
	settling float64 // how readily a weaned young finds room

	roams    float64 // s.d. of where it is met about its home, in traps
	night    float64 // logit of being caught on a night
	happy    float64 // and how much more so once caught on a trip
	subadult float64 // grams from which it is no juvenile
	grownMM  float64 // testis length of an adult
	step     int64   // grams the scale is read to
	pink     [2]int  // skin: ages at which it greys and is pigmented
	fur      [3]int  // fuzz, fine, furred
	eyes     [2]int  // opening, open
}

var wallaby = &kind{
	code: "RW", sizes: wallabySizes,
	exit: 195, weaned: 285, about: 220, breeds: 545, old: 3300,
	again: [2]int{20, 110}, atOnce: 0.7, afterOut: 32, winter: 0.5,
	daily:    [5]float64{0.0011, 0.0016, 0.0011, 0.00050, 0.0022},
	capacity: 20, settling: 2,
	roams: 1.4, night: -2.38, happy: 0.5,
	subadult: 2000, grownMM: 24, step: 10,
	pink: [2]int{70, 110}, fur: [3]int{130, 150, 172}, eyes: [2]int{125, 140},
}

var bandicoot = &kind{
	code: "NB", sizes: bandicootSizes,
	exit: 55, weaned: 62, about: 72, breeds: 175, old: 1000,
	again: [2]int{8, 60}, atOnce: 0.15, afterOut: 14, winter: 0.25,
	daily:    [5]float64{0.009, 0.012, 0.0028, 0.0021, 0.006},
	capacity: 14, settling: 1.4,
	roams: 1.8, night: -2.33, happy: 0.7,
	subadult: 350, grownMM: 16, step: 5,
	pink: [2]int{28, 38}, fur: [3]int{35, 42, 50}, eyes: [2]int{40, 45},
}

var kinds = []*kind{wallaby, bandicoot}

// stageAt names the life stage for the daily chance to die.
func (k *kind) stageAt(age int) int {
	switch {
	case age < k.exit:
		return 0
	case age < k.weaned:
		return 1
	case age < k.breeds:
		return 2
	case age < k.old:
		return 3
	}
	return 4
}

// A word of the sheet by age: the last one whose age is reached.
func byAge(age int, from []int, words ...string) string {
	word := words[0]
	for i, day := range from {
		if age >= day {
			word = words[i+1]
		}
	}
	return word
}
