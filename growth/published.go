package growth

// Published are the relations that come with the program: only those whose
// equation could be read complete in its source. A team types its own into the
// species sheet.
func Published() []Relation {
	return []Relation{
		{
			ID: "Trichosurus caninus head", Species: "Trichosurus caninus", Common: "mountain brushtail possum", Trait: "head", Aliases: []string{"head length"}, Unit: "mm", AgesIn: "d",
			Form: "linear", Fitted: AgeOnSize,
			Parameters: []Parameter{{"a", -19.355, "d"}, {"b", 2.917, "d/mm"}},
			Sizes:      []float64{6.64, 78.6}, Ages: []float64{0, 210}, NewbornBelow: 8, NewbornDays: 5,
			Animals: 10, Reading: 0.8, ReadingSource: "head of a young, between people: common practice, no source [CP]",
			Source: "How 1976, Australian Journal of Zoology 24:189–199", Grade: "S",
			TypedBy: "dawnround", CheckedBy: "recomputed: head 40.0 mm is 97 days",
			Note: "read in the abstract, which gives ages to 210 days and no residual error: the sizes are those of these ages; below 8 mm only 'newborn' is said [CP]; ear and pes do not grow in a straight line",
		},
		{
			ID: "Wallabia bicolor molar index", Species: "Wallabia bicolor", Common: "swamp wallaby", Trait: "molar index", Aliases: []string{"MI"}, Unit: "1", AgesIn: "d",
			Form: "log", Fitted: SizeOnAge,
			Parameters: []Parameter{{"a", -4.6864, "1"}, {"b", 2.2179, "1"}},
			Sizes:      []float64{0, 4}, Ages: []float64{129.6, 8260},
			Reading: 0.1, ReadingSource: "a tenth, to which the index is read [CP]",
			Source: "Death & Coulson 2016, Australian Mammalogy 38:246–248", Grade: "S",
			TypedBy: "dawnround", CheckedBy: "recomputed: molar index 1.7 is 758 days",
			Note: "the abstract prints log10(age, in days) = (MI + 4.6864)/2.2179, R² 0.93, from a small sample of known age, without a residual error; its form shows that the index was fitted on the logarithm of age; the range is that of the index, 0 to 4; for independent animals and skulls only",
		},
	}
}

// PouchLives are the ages of pouch exit and weaning that come with the program,
// as read in their sources; what was only remembered is left out.
func PouchLives() []PouchLife {
	return []PouchLife{
		{Species: "Bettongia tropica", Exit: []float64{102, 112}, Weaned: []float64{166, 185}, Source: "Johnson & Delean 2001", Grade: "S"},
		{Species: "Bettongia penicillata", Exit: []float64{102}, Source: "Thompson et al. 2015", Grade: "S"},
		{Species: "Petrogale persephone", Exit: []float64{203, 215}, Weaned: []float64{308, 354}, Source: "Johnson & Delean 1999", Grade: "S", Note: "weaned 105 to 139 days after leaving the pouch"},
		{Species: "Petrogale xanthopus", Exit: []float64{190, 201}, Source: "Poole et al. 1985, Australian Wildlife Research 12:127–136", Grade: "S"},
		{Species: "Trichosurus caninus", Exit: []float64{175, 200}, Source: "How 1976, Australian Journal of Zoology 24:189–199", Grade: "S", Note: "weaned after 240 days; how long after was not read"},
		{Species: "Trichosurus vulpecula", Exit: []float64{140}, Source: "Clark et al. 1969", Grade: "S", Note: "New South Wales"},
		{Species: "Potorous tridactylus", Exit: []float64{122}, Weaned: []float64{152, 183}, Source: "text of a parks service, by way of a blog", Grade: "S", Note: "low grade: told as about 4 months, weaned at 5 to 6 months"},
		{Species: "Perameles gunnii", Exit: []float64{48, 53}, Weaned: []float64{55, 61}, Source: "page of a university's brain collection; an encyclopaedia for the 55 days", Grade: "S", Note: "low grade: the sources disagree on weaning, so both are in the range"},
		{Species: "Pseudocheirus peregrinus", Exit: []float64{91}, Weaned: []float64{183}, Source: "Pahl 1987", Grade: "S", Note: "told as about 3 and about 6 months"},
		{Species: "Isoodon macrourus", Exit: []float64{55, 60}, Weaned: []float64{60}, Source: "Gemmell 1982", Grade: "S", Note: "about; lactation lasts about 60 days"},
		{Species: "Dasyurus geoffroii", Exit: []float64{62, 72}, Source: "Serena & Soderquist 1988, Australian Journal of Zoology 36:533–543", Grade: "S", Note: "left in the den rather than leaving a pouch"},
		{Species: "Sminthopsis macroura", Weaned: []float64{65, 70}, Source: "Frigo & Woolley 1997", Grade: "S"},
	}
}

// PouchLifeOf finds the pouch life of a species among those that come with the
// program.
func PouchLifeOf(species string) (PouchLife, bool) {
	for _, l := range PouchLives() {
		if alike(species, l.Species) {
			return l, true
		}
	}
	return PouchLife{}, false
}
