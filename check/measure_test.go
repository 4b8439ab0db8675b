package check_test

import (
	"testing"

	"dawnround/record"
)

// Limits here are those of the invented protocol above; numbers of the rules
// themselves have their source beside them in measure.go and mass.go.

func TestLengths(t *testing.T) {
	t.Parallel()
	last := func(what ...with) []record.Body { return bodies(caught(1, 3, what...)) }
	const shrinks, grows = "bone does not shrink", "an adult's bone does not grow"
	try(t, []trial{
		{shrinks, "by the limit", last(measure("pes", "99.8")), caught(2, 4, measure("pes", "98.3")), "", ""},
		{shrinks, "above the limit", last(measure("pes", "99.8")), caught(2, 4, measure("pes", "98.2")), "measures/pes", "99.8"},
		{shrinks, "from the technical error, by it", last(measure("head", "88")), caught(2, 4, measure("head", "86.614")), "", ""}, // 1.96·√2·0.5 = 1.3859, by hand
		{shrinks, "from the technical error, above it", last(measure("head", "88")), caught(2, 4, measure("head", "86.613")), "measures/head", "1.39 mm"},
		{shrinks, "start value, by it", last(measure("forearm", "60")), caught(2, 4, measure("forearm", "58")), "", ""},
		{shrinks, "start value, above it", last(measure("forearm", "60")), caught(2, 4, measure("forearm", "57.9")), "measures/forearm", "start value"},
		{shrinks, "no limit anywhere", last(measure("hand", "60")), caught(2, 4, measure("hand", "40")), "", ""},
		{shrinks, "measured again", last(measure("pes", "99.8")), caught(2, 4, measure("pes", "92.1", "99.5")), "", ""},
		{shrinks, "said roughly", last(measure("pes", "99.8")), caught(2, 4, measure("pes", "92.1", "roughly")), "", ""},
		{shrinks, "said roughly last time", last(measure("pes", "99.8", "roughly")), caught(2, 4, measure("pes", "92.1")), "", ""},
		{shrinks, "with claw last time", last(measure("pes", "99.8", "with claw")), caught(2, 4, measure("pes", "92.1")), "", ""},
		{shrinks, "other side", last(measure("pes.left", "99.8")), caught(2, 4, measure("pes.right", "92.1")), "", ""},
		{shrinks, "not a bone", last(measure("tail", "99.8")), caught(2, 4, measure("tail", "92.1")), "", ""},
		{shrinks, "before the last, which lacks it", bodies(caught(1, 3, measure("pes", "99.8")), caught(2, 4)), caught(3, 5, measure("pes", "92.1")), "measures/pes", "on 3 May 2026 by AB"},
		{shrinks, "a juvenile", last(measure("pes", "99.8"), stage("juvenile")), caught(2, 4, measure("pes", "92.1")), "measures/pes", ""},
		{shrinks, "another animal", last(measure("pes", "99.8")), caught(2, 4, chip(70), measure("pes", "92.1")), "", ""},
		{grows, "limit and 2 %", last(measure("pes", "100")), caught(2, 4, measure("pes", "103.5")), "", ""},
		{grows, "above limit and 2 %", last(measure("pes", "100")), caught(2, 4, measure("pes", "103.6")), "measures/pes", "Again?"},
		{grows, "a juvenile then", last(measure("pes", "100"), stage("juvenile")), caught(2, 4, measure("pes", "120")), "", ""},
		{"tail shorter", "by the limit", last(measure("tail", "400")), caught(2, 4, measure("tail", "394")), "", ""},
		{"tail shorter", "above the limit", last(measure("tail", "400")), caught(2, 4, measure("tail", "393.9")), "measures/tail", "tip lost"},
		{"tail shorter", "damaged now", last(measure("tail", "400")), caught(2, 4, measure("tail", "380", "damaged")), "", ""},
		{"tail shorter", "damaged once", bodies(caught(1, 2, measure("tail", "400", "damaged")), caught(2, 3, measure("tail", "400"))), caught(3, 4, measure("tail", "380")), "", ""},
		{"ear shorter", "by the limit", last(measure("ear", "60")), caught(2, 4, measure("ear", "57")), "", ""},
		{"ear shorter", "above the limit", last(measure("ear", "60")), caught(2, 4, measure("ear", "56.9")), "measures/ear", "Torn?"},
		{"left and right apart", "2 mm", nil, caught(2, 4, measure("pes.left", "99"), measure("pes.right", "101")), "", ""},
		{"left and right apart", "above 2 mm", nil, caught(2, 4, measure("pes.left", "99"), measure("pes.right", "101.1")), "measures/pes.right", "99"},
		{"left and right apart", "no bone", nil, caught(2, 4, measure("testis.left", "20"), measure("testis.right", "30")), "", ""},
		{"testis half as long", "half", last(measure("testis.left", "30")), caught(2, 4, measure("testis.left", "15")), "", ""},
		{"testis half as long", "below half", last(measure("testis.left", "30")), caught(2, 4, measure("testis.left", "14.9")), "measures/testis.left", "Left testis length 30"},
		{"testis half as long", "below half of the longest", bodies(caught(1, 2, measure("testis.left", "30")), caught(2, 3, measure("testis.left", "20"))), caught(3, 4, measure("testis.left", "14")), "measures/testis.left", ""},
		{"testis half as long", "not yet adult", last(measure("testis.left", "30"), stage("juvenile")), caught(2, 4, measure("testis.left", "10")), "", ""},
	})
}

func TestRanges(t *testing.T) {
	t.Parallel()
	const outside, beyond = "outside the range", "beyond what can be"
	headed := func(typed string) record.Young {
		y := pouched(70)
		y.Measures = map[string]record.Reading{"head": {Quantity: quantity(typed)}}
		return y
	}
	try(t, []trial{
		{outside, "at its end", nil, caught(1, 3, measure("pes", "148")), "", ""},
		{outside, "above its end", nil, caught(1, 3, measure("pes", "148.1")), "measures/pes", "90–148 for adult (invented)"},
		{outside, "of any stage", nil, caught(1, 3, stage("juvenile"), measure("pes", "75")), "", ""},
		{outside, "below", nil, caught(1, 3, stage("juvenile"), measure("pes", "69.9")), "measures/pes", ""},
		{outside, "beyond is said once", nil, caught(1, 3, stage("juvenile"), measure("pes", "49.9")), "", ""},
		{beyond, "at its end", nil, caught(1, 3, stage("juvenile"), measure("pes", "50")), "", ""},
		{beyond, "beyond", nil, caught(1, 3, stage("juvenile"), measure("pes", "49.9")), "measures/pes", "50–180"},
		{beyond, "no such bound", nil, caught(1, 3, measure("pes", "10")), "", ""},
		{outside, "mass weighed", nil, caught(1, 3, weigh("2500", "101", "")), "weighing", "2399"},
		{outside, "mass read", nil, caught(1, 3, measure("mass", "2399")), "measures/mass", ""},
		{outside, "mass in range", nil, caught(1, 3, weigh("2500", "100", "")), "", ""},
		{beyond, "mass", nil, caught(1, 3, measure("mass", "1499")), "measures/mass", "1500–8000"},
		{outside, "a young in range", nil, caught(1, 3, young(headed("70"))), "", ""},
		{outside, "a young", nil, caught(1, 3, young(headed("70.1"))), "young/0", "7–70"},
		{beyond, "a young", nil, caught(1, 3, young(headed("85.1"))), "young/0", "5–85"},
		{"not of this sex", "a male's pouch", nil, caught(1, 3, sex(record.Male), sign("pouch", "empty")), "signs/pouch", "female"},
		{"not of this sex", "a female's testis", nil, caught(1, 3, sex(record.Female), measure("testis.left", "20")), "measures/testis.left", "male"},
		{"not of this sex", "told before", bodies(caught(1, 3, sex(record.Male))), caught(2, 4, sign("pouch", "empty")), "signs/pouch", ""},
		{"not of this sex", "her own", nil, caught(1, 3, sex(record.Female), sign("pouch", "empty")), "", ""},
		{"not of this sex", "not told", nil, caught(1, 3, sex(record.Unsexed), sign("pouch", "empty")), "", ""},
	})
}

func TestMass(t *testing.T) {
	t.Parallel()
	last := func(day int, net string, what ...with) []record.Body {
		return bodies(caught(1, day, append(what, weigh("", "", net))...))
	}
	net := func(day int, net string, what ...with) record.Capture {
		return caught(9, day, append(what, weigh("", "", net))...)
	}
	const within, between, fall = "mass within the trip", "mass between trips", "mass fall in trip"
	try(t, []trial{
		{within, "−12 %", last(3, "3000"), net(4, "2640"), "", ""},
		{within, "below −12 %", last(3, "3000"), net(4, "2639"), "weighing", "-12 %"},
		{within, "+8 %", last(3, "3000"), net(4, "3240"), "", ""},
		{within, "above +8 %", last(3, "3000"), net(4, "3241"), "weighing", "Mass 3000 g"},
		{within, "fourth night", last(3, "3000"), net(6, "2600"), "weighing", ""},
		{within, "fifth night", last(3, "3000"), net(7, "2600"), "", ""},
		{within, "another trip", last(19, "3000"), net(20, "2600"), "", ""},
		{within, "a division of the scale", last(3, "8", species("PM")), net(4, "7", species("PM")), "", ""},
		{within, "two divisions", last(3, "8", species("PM")), net(4, "6", species("PM")), "weighing", "-25 %"},
		{between, "+0.35 in ln", last(3, "3000"), net(20, "4257"), "", ""}, // 3000·e^0.35 = 4257.2, by hand
		{between, "above", last(3, "3000"), net(20, "4258"), "weighing", "+42 %"},
		{between, "−0.35 in ln", last(3, "3000"), net(20, "2115"), "", ""}, // 3000·e^−0.35 = 2114.1, by hand
		{between, "below", last(3, "3000"), net(20, "2114"), "weighing", "-30 %"},
		{between, "a female's young", last(3, "3000", sex(record.Female)), net(20, "4400"), "weighing", "Pouch young"},
		{between, "not yet adult", last(3, "1000", stage("juvenile")), net(20, "2000"), "", ""},
		{between, "within a trip", last(3, "3000"), net(4, "4500"), "", ""},
		{fall, "10 %", last(3, "3000"), net(4, "2700"), "", ""},
		{fall, "above 10 %", last(3, "3000"), net(4, "2699"), "weighing", "invented approval"},
		{fall, "since the first of the trip", bodies(caught(1, 3, weigh("", "", "3000")), caught(2, 4, weigh("", "", "2800"))), net(5, "2690"), "weighing", "3000 g on 3 May"},
	})
}

func TestWeighing(t *testing.T) {
	t.Parallel()
	const exact, bag, nothing = "net is gross less bag", "unlikely bag", "mass not above zero"
	after := func(gross, bag, net, after string) record.Capture {
		c := caught(1, 3, weigh(gross, bag, net))
		q := quantity(after)
		c.Handled.Weighing.BagAfter = &q
		return c
	}
	try(t, []trial{
		{exact, "exact", nil, caught(1, 3, weigh("3102.5", "102.5", "3000")), "", ""},
		{exact, "a gram out", nil, caught(1, 3, weigh("3102.5", "102.5", "3001")), "weighing", "is 3000, not 3001"},
		{exact, "a thousandth out", nil, caught(1, 3, weigh("3102.5", "102.5", "3000.001")), "weighing", ""},
		{exact, "net not said", nil, caught(1, 3, weigh("3102.5", "102.5", "")), "", ""},
		{exact, "bag not said", nil, caught(1, 3, weigh("3102.5", "", "2900")), "", ""},
		{exact, "by the emptied bag", nil, after("3100", "100", "2980", "120"), "", ""},
		{exact, "by neither bag", nil, after("3100", "100", "2990", "120"), "weighing", ""},
		{nothing, "gross below the bag", nil, caught(1, 3, species("QQ"), weigh("1200", "1300", "")), "weighing", "1200 less bag 1300 is -100"},
		{nothing, "below the emptied bag", nil, after("1300", "100", "", "1300"), "weighing", "1300 less bag 1300 is 0"},
		{nothing, "net said", nil, caught(1, 3, weigh("", "", "-1")), "weighing", "-1"},
		{nothing, "a reading", nil, caught(1, 3, species("QQ"), measure("mass", "12", "0")), "measures/mass", "0"},
		{nothing, "above", nil, caught(1, 3, weigh("1300", "1200", "")), "", ""},
		{nothing, "bag not said", nil, caught(1, 3, weigh("1300", "", "")), "", ""},
		{bag, "20 g", nil, caught(1, 3, weigh("3000", "20", "")), "", ""},
		{bag, "below 20 g", nil, caught(1, 3, weigh("3000", "19.9", "")), "weighing", "19.9"},
		{bag, "300 g", nil, caught(1, 3, weigh("3300", "300", "")), "", ""},
		{bag, "above 300 g", nil, caught(1, 3, weigh("3300", "300.1", "")), "weighing", ""},
		{bag, "emptied bag", nil, after("3400", "100", "", "310"), "weighing", ""},
		{bag, "of a small species", nil, caught(1, 3, species("PM"), weigh("15", "5", "")), "", ""},
	})
}
