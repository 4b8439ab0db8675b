package demo

import (
	"slices"

	"dawnround/record"
)

const (
	female = record.Female
	male   = record.Male
)

// Stories are the twenty animals told by hand: what a crew meets in four
// years, good and bad. Trips are numbered from 1, nights from 1; the last
// trip's fourth morning has not come yet.
var Stories = slices.Concat(earlier, later)

// earlier are the stories A to J.
var earlier = []Story{
	{
		ID: "A", Tells: "an old mother, met twice; her daughter B is known from the pouch on",
		Species: "RW", Sex: female, Born: 2400, Died: 300, Chips: []string{"999000041700188"},
		moments: []moment{
			{1, 1, "K05", "new; chip+; tag+ T001; female; adult; net 3310; pouch occupied; teats elongated; lactating yes; " +
				"young b/in pouch/yes; cr 71; female; skin greying; fur unfurred; " +
				"pes 130.6; tail 436; head 95.9; ear 57.5; find ear/left/tick/2; condition good; biopsy; release released|pouch closed|hopped off strongly|", nil},
			{2, 1, "K05", "recapture; chip; tag T001; female; adult; net 3240; pouch occupied; teats elongated; lactating yes; " +
				"young c/in pouch/yes; cr 58.5; skin pink; fur unfurred; young b/at foot/no; female; fur furred; eyes open; " +
				"pes 130.9; tail 437; head 96.2; ear 57; find ear/left/tick/none seen; condition good; release released|pouch closed||", nil},
		},
	},
	{
		ID: "B", Tells: "of known age: met in her mother's pouch, at her feet, alone, and then with her own first three young, one after the other",
		Species: "RW", Sex: female, Born: 70, Mother: "A", Chips: []string{"999000041700311"},
		moments: []moment{
			{2, 1, "K06", "new; chip+; female; young at foot; net 810; pouch undeveloped; pes 108.3; tail 296; head 75.2; ear 50.5; find ear/left/tick/none seen; condition good", ofMother},
			{3, 2, "K06", "recapture; chip; female; subadult; net 2070; pouch undeveloped; teats undeveloped; pes 126.4; tail 384; head 90.3; ear 56.5; condition good; biopsy", nil},
			{4, 1, "K07", "recapture; chip; tag+ T002; female; adult; net 2950; pouch occupied; teats elongated; lactating yes; " +
				"young 1/in pouch/yes; cr 46.5; female; skin pink; fur unfurred; pes 130.1; tail 425; head 94.6; ear 57.5; condition good; release released|pouch closed||", nil},
			{5, 2, "K06", "recapture; chip; tag T002; female; adult; net 3170; pouch occupied; teats elongated; lactating yes; " +
				"young 2/in pouch/yes; cr 35; skin pink; fur unfurred; young 1/at foot/no; female; fur furred; eyes open; " +
				"pes 130.4; tail 428; head 95.1; ear 57.5; find ear/right/tick/1; condition good; release released|pouch closed, young at foot followed||", nil},
			{6, 1, "K07", "recapture; chip; tag T002; female; adult; net 3230; pouch occupied; teats elongated; lactating yes; " +
				"young 3/in pouch/yes; cr 22.5; skin pink; fur unfurred; young 2/at foot/no; male; fur furred; eyes open; " +
				"pes 130.6; tail 430; head 95.0; ear 58; condition fair; release released|pouch closed, young at foot followed||", nil},
			{8, 2, "K06", "recapture; chip; tag T002; female; adult; net 3340; pouch nc young large and may be loose, pouch kept closed; " +
				"pes 130.2; tail 429; head 95.3; ear 57.5; find ear/right/tick/none seen; condition good; release released|pouch kept closed||", nil},
		},
	},
	{
		ID: "C", Tells: "lost her chip and was known by her ear tag; chipped again",
		Species: "RW", Sex: female, Born: 1300, Chips: []string{"999000052381406", "999000068814975"},
		moments: []moment{
			{1, 2, "M10", "new; chip+; tag+ T003; female; adult; net 3120; pouch empty dry; teats small; lactating no; pes 129.4; tail 431; head 94.8; ear 58.5; find ear/left/tick/1; condition good; biopsy", nil},
			{3, 1, "M11", "recapture; chip-; chip+2; tag T003; female; adult; net 3260; pouch occupied; teats elongated; lactating yes; young 1/in pouch/yes; cr 88; male; skin greying; fur unfurred; " +
				"pes 129.9; tail 432; head 95.2; ear 58; condition good; notes whole body scanned twice, no chip; release released|pouch closed||", nil},
			{5, 3, "M10", "recapture; chip2; tag T003; female; adult; net 3190; pouch slack; teats elongated; lactating yes; pes 129.6; tail 430; head 95.0; ear 58; condition fair", nil},
		},
	},
	{
		ID: "D", Tells: "a chip digit misread once, and nobody noticed: two animals in the register where one lived",
		Species: "NB", Sex: male, Born: 80, Chips: []string{"999000073316529"},
		Flags: []Raised{{3, 2, "recapture, but its mark is not known"}, {3, 2, "near a known mark"}},
		moments: []moment{
			{2, 1, "L07", "new; chip+; male; adult; net 1290; testes scrotal; testis 23.1; pes 64.9; tail 139; head 82.6; ear 28; find ear/left/tick/4; condition good; biopsy", nil},
			{3, 2, "L08", "recapture; typed 999000073376529; male; adult; net 1345; testes scrotal; testis 23.8; pes 65.0; tail 140; head 83.0; ear 28; find ear/left/tick/6–20; condition good; notes reader flat, number read off the screen in the rain", nil},
			{4, 1, "L07", "recapture; chip; male; adult; net 1360; testes scrotal; testis 23.5; pes 65.2; tail 140; head 83.1; ear 28.5; find ear/left/tick/5; condition good", nil},
		},
	},
	{
		ID: "E", Tells: "a chip digit misread and put right the same morning",
		Species: "NB", Sex: female, Born: -380, Chips: []string{"999000029647183"},
		moments: []moment{
			{4, 3, "K15", "new; chip+; female; adult; net 840; pouch empty dry; teats small; lactating no; pes 60.8; tail 129; head 77.5; ear 27; find ear/left/tick/2; condition good; biopsy", nil},
			{5, 1, "K14", "recapture; typed 999000029647138; female; adult; net 905; pouch occupied; teats elongated; lactating yes; " +
				"young 1/in pouch/yes; cr 41; female; skin pink; fur unfurred; young 2/in pouch/yes; cr 40.5; male; skin pink; fur unfurred; " +
				"pes 61.0; tail 130; head 77.9; ear 27; condition good; release released|pouch closed||", readAgain},
		},
	},
	{
		ID: "F", Tells: "a male that turned up beyond the lake: really swam, though the checks cannot know",
		Species: "RW", Sex: male, Born: 1500, Chips: []string{"999000035508264"},
		Flags: []Raised{{5, 2, "far from the last place"}},
		moments: []moment{
			{1, 3, "M03", "new; chip+; tag+ T004; male; adult; net 4080; testes scrotal; testis 32.4; pes 139.8; tail 476; head 102.7; ear 60; condition good; biopsy", nil},
			{2, 2, "M04", "recapture; chip; tag T004; male; adult; net 4160; testes scrotal; testis 33.0; pes 140.2; tail 477; head 103.1; ear 60; condition good", nil},
			{5, 2, "L16", "recapture; chip; tag T004; male; adult; net 3890; testes scrotal; testis 32.1; pes 140.0; tail 474; head 103.0; ear 59.5; find foot/right/wound/healing; condition fair; notes number read three times", overTheLake},
			{6, 3, "L17", "recapture; chip; tag T004; male; adult; net 4110; testes scrotal; testis 32.8; pes 140.3; tail 475; head 102.8; ear 60; condition good", nil},
		},
	},
	{
		ID: "G", Tells: "an old one-eyed male, thinner from trip to trip",
		Species: "RW", Sex: male, Born: 2900, Chips: []string{"999000018254737"},
		moments: []moment{
			{1, 1, "L09", "new; chip+; tag+ T005; male; adult; net 4520; testes scrotal; testis 34.2; pes 142.6; tail 481; head 105.3; ear 58; find eye/left/eye lost/seen; find ear/left/torn/seen; condition good; biopsy", nil},
			{2, 4, "L09", "recapture; chip; tag T005; male; adult; net 4400; testes scrotal; testis 34.0; pes 142.9; tail 480; head 105.1; ear 58; find eye/left/eye lost/seen; find ear/right/tick/6–20; condition fair", nil},
			{4, 2, "L10", "recapture; chip; tag T005; male; adult; net 4230; testes scrotal; testis 33.1; pes 142.4; tail 480; head 105.6; ear 57.5; find eye/left/eye lost/seen; find ear/right/tick/21–50; condition fair", nil},
			{6, 1, "L09", "recapture; chip; tag T005; male; adult; net 3980; testes scrotal; testis 31.9; pes 142.7; tail 479; head 105.2; ear 57; find eye/left/eye lost/seen; find coat/-/rough/seen; condition poor", nil},
			{8, 1, "L10", "recapture; chip; tag T005; male; adult; net 3760; testes scrotal; testis 30.4; pes 142.5; tail 480; head 105.4; ear 57.5; find eye/left/eye lost/seen; find coat/-/rough/seen; condition poor; notes slow, lets himself be held", watchHim},
		},
	},
	{
		ID: "H", Tells: "a bandicoot mother with three young in the pouch, one of them met again alone: I",
		Species: "NB", Sex: female, Born: -10, Chips: []string{"999000060193852"},
		moments: []moment{
			{3, 1, "L11", "new; chip+; female; adult; net 905; pouch occupied; teats elongated; lactating yes; young 1/in pouch/yes; cr 28; skin pink; fur unfurred; " +
				"young 2/in pouch/yes; cr 27.5; skin pink; fur unfurred; young 3/in pouch/yes; cr 28.5; skin pink; fur unfurred; " +
				"pes 61.2; tail 131; head 78.1; ear 27; find ear/left/tick/2; condition good; biopsy; release released|pouch closed||", nil},
			{5, 3, "L12", "recapture; chip; female; adult; net 960; pouch occupied; teats elongated; lactating yes; young 4/in pouch/yes; cr 52; female; skin greying; fur unfurred; " +
				"young 5/in pouch/yes; cr 51.5; male; skin greying; fur unfurred; pes 61.0; tail 130; head 78.4; ear 26.5; condition good; release released|pouch closed||", nil},
		},
	},
	{
		ID: "I", Tells: "an unmarked subadult two traps from where H was met with three young half a year before; the lab says it is hers",
		Species: "NB", Sex: male, Born: -352, Mother: "H", Chips: []string{"999000084470961"},
		moments: []moment{
			{4, 2, "L13", "new; chip+; male; subadult; net 955; testes scrotal; testis 13.1; pes 63.9; tail 137; head 80.8; ear 28; find ear/right/tick/3; condition good; biopsy", hersPerhaps},
			{5, 1, "L14", "recapture; chip; male; adult; net 1330; testes scrotal; testis 23.4; pes 64.7; tail 141; head 82.5; ear 28.5; condition good", nil},
		},
	},
	{
		ID: "J", Tells: "died in a trap on a cold wet night, and was reported",
		Species: "NB", Sex: female, Born: 60, Chips: []string{"999000047926310"},
		moments: []moment{
			{2, 3, "K18", "new; chip+; female; adult; net 870; pouch empty dry; teats regressing; lactating no; pes 60.4; tail 128; head 77.2; ear 27; condition good; biopsy", nil},
			{3, 3, "K18", "dead; chip; female; adult; net 795; pouch empty dry; teats small; lactating no; pes 60.6; nc head left for the vet; " +
				"happened injury|found dead in the trap, wet through|none possible|carcass cooled, to the vet; release died||found dead|cause not known, cold and rain since midnight, the cover had slipped", report},
		},
	},
}
