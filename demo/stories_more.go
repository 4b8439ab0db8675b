package demo

// later are the stories K to T.
var later = []Story{
	{
		ID: "K", Tells: "threw her young in the bag on the last morning; it was put back, and somebody is to look at the next",
		Species: "RW", Sex: female, Born: -200, Chips: []string{"999000091835572"},
		moments: []moment{
			{7, 1, "M15", "new; chip+; tag+ T006; female; adult; net 3050; pouch empty dry; teats small; lactating no; pes 130.2; tail 433; head 95.1; ear 57; condition good; biopsy", nil},
			{8, 3, "M15", "recapture; chip; tag T006; female; adult; net 3230; pouch occupied; teats elongated; lactating yes; young 1/in pouch/no; cr 110; male; skin pigmented; fur unfurred; eyes closed; " +
				"happened young ejected|thrown in the bag before she was in hand, warm and moving|warmed in the hand, returned to the pouch by CK, taped as the approval says|in the pouch and warm at release; " +
				"nc pes kept short for the young; nc head kept short for the young; condition good; release released|young returned, pouch taped|went straight to the rocks|", lookAtHer},
		},
	},
	{
		ID: "L", Tells: "lost the tip of his tail between two trips, and the crew said so",
		Species: "RW", Sex: male, Born: 900, Chips: []string{"999000026719048"},
		moments: []moment{
			{2, 2, "K09", "new; chip+; tag+ T007; male; adult; net 3930; testes scrotal; testis 32.0; pes 139.0; tail 471; head 101.9; ear 60.5; condition good; biopsy", nil},
			{4, 3, "K10", "recapture; chip; tag T007; male; adult; net 3850; testes scrotal; testis 32.3; pes 139.3; tail 433 damaged; head 102.2; ear 60; find tail/-/tip lost/seen; find tail/-/wound/healing; condition fair", nil},
			{6, 2, "K09", "recapture; chip; tag T007; male; adult; net 4020; testes scrotal; testis 32.6; pes 139.1; tail 434 damaged; head 102.0; ear 60; find tail/-/tip lost/seen; condition good", nil},
		},
	},
	{
		ID: "M", Tells: "one weight put right by two people, differently",
		Species: "NB", Sex: male, Born: -250, Chips: []string{"999000055042896"},
		Flags: []Raised{{5, 2, "two versions"}},
		moments: []moment{
			{4, 1, "M07", "new; chip+; male; adult; net 1255; testes scrotal; testis 23.0; pes 64.4; tail 140; head 82.0; ear 28.5; find ear/left/tick/6–20; condition good; biopsy", nil},
			{5, 2, "M08", "recapture; chip; male; adult; net 1310; testes scrotal; testis 23.9; pes 64.7; tail 140; head 82.4; ear 28.5; condition good", twoWeights},
		},
	},
	{
		ID: "N", Tells: "entered in the wrong trap, struck at once and entered again",
		Species: "NB", Sex: female, Born: -600, Chips: []string{"999000037281650"},
		moments: []moment{
			{6, 2, "K11", "empty", nil},
			{6, 2, "K12", "new; chip+; female; adult; net 865; pouch empty dry; teats small; lactating no; pes 60.7; tail 130; head 77.6; ear 26.5; condition good; biopsy", wrongTrap},
		},
	},
	{
		ID: "O", Tells: "taken for a female when small, and plainly a male the next time",
		Species: "RW", Sex: male, Born: -600, Chips: []string{"999000070558193"},
		Flags: []Raised{{7, 1, "sex changed"}},
		moments: []moment{
			{6, 3, "L03", "new; chip+; female; juvenile; net 1150; pouch nc too small to be sure; pes 119.4; tail 335; head 84.6; ear 54; condition good", nil},
			{7, 1, "L03", "recapture; chip; male; subadult; net 2580; testes scrotal; testis 16.9; pes 134.6; tail 432; head 97.0; ear 58.5; condition good; biopsy", nil},
		},
	},
	{
		ID: "P", Tells: "his foot was read with the claw on the last trip",
		Species: "RW", Sex: male, Born: 300, Chips: []string{"999000083964417"},
		Flags: []Raised{{8, 2, "an adult's bone does not grow"}},
		moments: []moment{
			{6, 1, "K17", "new; chip+; tag+ T008; male; adult; net 4010; testes scrotal; testis 32.5; pes 138.2; tail 474; head 103.3; ear 60; condition good; biopsy", nil},
			{8, 2, "K18", "recapture; chip; tag T008; male; adult; net 4090; testes scrotal; testis 32.9; pes 143.7; tail 475; head 103.5; ear 60; condition good", nil},
		},
	},
	{
		ID: "Q", Tells: "tore an ear and nobody said so",
		Species: "NB", Sex: male, Born: -20, Chips: []string{"999000014473928"},
		Flags: []Raised{{5, 1, "ear shorter"}},
		moments: []moment{
			{3, 4, "L18", "new; chip+; male; adult; net 1270; testes scrotal; testis 22.8; pes 64.8; tail 141; head 82.2; ear 28; condition good; biopsy", nil},
			{5, 1, "L18", "recapture; chip; male; adult; net 1340; testes scrotal; testis 23.7; pes 65.0; tail 141; head 82.6; ear 23.5; condition good", nil},
		},
	},
	{
		ID: "R", Tells: "a bite on the back that was fresh, then healing, then a scar; many ticks, then few",
		Species: "RW", Sex: female, Born: 1700, Chips: []string{"999000062340785"},
		moments: []moment{
			{7, 1, "M18", "new; chip+; tag+ T009; female; adult; net 3280; pouch empty dry; teats small; lactating no; pes 131.6; tail 441; head 96.6; ear 58; find back/-/wound/fresh; find ear/left/tick/21–50; condition fair; biopsy", watchWound},
			{7, 3, "M18", "retrap; brief; net 3240; chip; tag T009; find back/-/wound/healing", nil},
			{8, 1, "M19", "recapture; chip; tag T009; female; adult; net 3400; pouch occupied; teats elongated; lactating yes; young 1/in pouch/yes; cr 64; female; skin pink; fur unfurred; " +
				"pes 131.4; tail 440; head 96.9; ear 58; find back/-/wound/old; find ear/left/tick/3; condition good; release released|pouch closed||", nil},
		},
	},
	{
		ID: "S", Tells: "lost her only mark, was chipped as new, and the lab told who she was",
		Species: "RW", Sex: female, Born: 420, Chips: []string{"999000049102636", "999000077925041"},
		Flags: []Raised{{5, 4, "more than one transponder"}},
		moments: []moment{
			{2, 3, "K13", "new; chip+; female; adult; net 2890; pouch undeveloped; teats undeveloped; pes 129.8; tail 424; head 94.4; ear 57; condition good; biopsy", nil},
			{5, 4, "K13", "new; chip+2; female; adult; net 3180; pouch occupied; teats elongated; lactating yes; young 1/in pouch/yes; cr 95; male; skin greying; fur unfurred; " +
				"pes 130.3; tail 432; head 95.2; ear 57.5; find ear/right/healed hole/seen; condition good; notes somebody has held her before: an old hole, no chip; release released|pouch closed||", labTold},
		},
	},
	{
		ID: "T", Tells: "out of the bag before anybody had read a mark",
		Species: "NB", Sex: female, Born: -900,
		moments: []moment{
			{7, 2, "L05", "release escaped||out past the hand|bag not closed in time", nil},
		},
	},
}
