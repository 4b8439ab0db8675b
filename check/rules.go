package check

import "dawnround/record"

// Rule is one rule as people read it.
type Rule struct {
	Name   string // short words people can say
	Grade  record.Grade
	Means  string // when it speaks
	Source string // of its limit
}

type captureRule struct {
	Rule
	find func(*card) []found
}

// Sources of limits, by how they are known: read in a source [S], from memory
// [M], or common practice without a source [CP].
const (
	practice = "common practice, no source"
	logic    = "follows from the words themselves"
	sheets   = "the species sheet, with its source"
	approval = "the limit the team typed from its own approval"
)

// captureRules are asked of every capture, in the order of the card.
var captureRules = []captureRule{
	{Rule{"word not in the protocol", record.Remark, "a species, stage, sign, mark, sample or finding is told in a word the protocol does not have", logic}, unknownWords},
	{Rule{"trap not set", record.Stop, "the capture is in a trap that was not set that night, where it is known which were", logic}, trapNotSet},
	{Rule{"clock against the night", record.Look, "a time lies outside noon of the night to 18:00 the next day; the night comes from the round, never from a clock", practice}, clockAgainstNight},
	{Rule{"twice in one night", record.Stop, "the animal was caught earlier that night and not released in an earlier round", logic}, twiceInOneNight},
	{Rule{"far from the last place", record.Look, "the move is above 1.5 times the longest of other animals of the species, or, where that cannot be told, to another site", practice}, farFromLastPlace},
	{Rule{"nights running", record.Look, "the animal is caught as many nights running as the limit allows", approval}, nightsRunning},
	{Rule{"species changed", record.Stop, "the same animal was another species before", logic}, speciesChanged},
	{Rule{"alive after death", record.Stop, "the animal died at an earlier capture", logic}, aliveAfterDeath},
	{Rule{"number no chip carries", record.Stop, "a transponder's number breaks ISO 11784", "ISO 11784"}, impossibleNumber},
	{Rule{"near a known mark", record.Stop, "a transponder not met before is one digit, or two swapped, from a known one of the same species, sex and site", "ISO 11784 numbers carry no check digit; " + practice}, nearKnownMark},
	{Rule{"mark in two species", record.Look, "a mark that speaks within a species was read on another species before", logic}, markInTwoSpecies},
	{Rule{"more than one transponder", record.Look, "the animal bears two transponders, or is given a second", practice}, secondTransponder},
	{Rule{"mark read after it was gone", record.Look, "a mark is read that an earlier capture found gone, and nobody wrote that it was put on anew", logic}, readAfterGone},
	{Rule{"no chip, but an old hole in the ear", record.Look, "an ear has a healed hole, no transponder was read, and no earlier capture of the animal tells of the hole", practice}, noChipButOldHole},
	{Rule{"two lives become one", record.Look, "marks read together were known apart before, and make one animal of two", logic}, livesJoined},
	{Rule{"new, but its mark is known", record.Stop, "the status says new, and a mark was read before", logic}, newButKnown},
	{Rule{"recapture, but its mark is not known", record.Stop, "the status says caught before, and no mark was met before", logic}, recaptureButUnknown},
	{Rule{"retrap, but not caught on this trip", record.Stop, "the status says caught earlier on this trip, and no earlier capture on it is known", logic}, retrapButNotThisTrip},
	{Rule{"sex changed", record.Stop, "the same animal was told the other sex before", logic}, sexChanged},
	{Rule{"age goes back", record.Stop, "the life stage lies before an earlier one", logic}, ageGoesBack},
	{Rule{"net is gross less bag", record.Stop, "the net mass said is not exactly gross less bag", logic}, netIsGrossLessBag},
	{Rule{"mass not above zero", record.Stop, "the net mass, said or gross less bag, is zero or below", logic}, notAboveZero},
	{Rule{"unlikely bag", record.Look, "the bag is outside 20–300 g, for species whose adults are above 250 g", practice}, unlikelyBag},
	{Rule{"mass within the trip", record.Look, "net mass changed by more than −12 to +8 % within four nights of one trip", "3–8 % mean overnight loss in possums: Cowan et al. 2013; bounds " + practice}, massWithinTrip},
	{Rule{"mass fall in trip", record.Look, "loss since the first weighing of the trip is above the limit", approval}, massFallInTrip},
	{Rule{"mass between trips", record.Look, "mass of an adult changed by more than 0.35 in its natural logarithm (−30 % or +42 %)", practice}, massBetweenTrips},
	{Rule{"mass and length do not go together", record.Look, "an adult's mass lies above 3.5 s.d. from the population's own line of mass on a length, from 50 animals on", practice}, massAgainstLength},
	{Rule{"beyond what can be", record.Stop, "a value is outside what the sheet says can never be", sheets}, beyondRange},
	{Rule{"outside the range", record.Look, "a value is outside the sheet's plausible range", sheets}, outsideRange},
	{Rule{"bone does not shrink", record.Look, "a bone's length is shorter than last time by more than the technical limit", sheets}, boneShrinks},
	{Rule{"an adult's bone does not grow", record.Look, "longer than last time, then an adult, by more than the technical limit and 2 %", sheets + "; 2 % " + practice}, boneJumps},
	{Rule{"left and right apart", record.Look, "left and right of one bone differ by more than 2 mm", practice}, leftAndRight},
	{Rule{"pes and head do not go together", record.Look, "pes over head is outside the population's own 0.5–99.5 % by more than both technical limits, from 50 animals on", practice}, pesAgainstHead},
	{Rule{"tail shorter", record.Look, "the tail is shorter by more than the technical limit, and nobody has said damaged", sheets}, tailShorter},
	{Rule{"ear shorter", record.Remark, "the ear is shorter by more than the technical limit; ears tear", sheets}, earShorter},
	{Rule{"testis half as long", record.Look, "below half the longest of the same side in an earlier adult", practice}, testisHalf},
	{Rule{"not of this sex", record.Look, "a measure or sign of the other sex", sheets}, notOfThisSex},
	{Rule{"never bred, after breeding", record.Look, "a sign says she never bred, and she was seen to have", logic}, neverBredAfterBreeding},
	{Rule{"sign goes back", record.Look, "a sign that never goes back lies before an earlier one", sheets}, signGoesBack},
	{Rule{"more young than the sheet has", record.Look, "more young in the pouch than the litter, or the teats, of the sheet", sheets}, tooManyYoung},
	{Rule{"young counted up", record.Look, "more young than last time while one of them is the same", practice}, youngCountedUp},
	{Rule{"young go back in age", record.Look, "a young's sign that never goes back lies before an earlier one", sheets}, youngGoBack},
	{Rule{"young's age does not fit", record.Look, "by its size a young was born more than 7 days, or 15 % of its age, from when its size told last time", "the relation of size and age that is named; 7 days and 15 % " + practice}, youngAgeDiffers},
	{Rule{"born too soon", record.Look, "a young was born while the one before should have been in the pouch for 10 days more", "the species' pouch life, with its source; 10 days " + practice}, youngTooSoon},
	{Rule{"young gone early", record.Look, "the pouch is empty more than 10 days before the young seen last should leave it", "the species' pouch life, with its source; 10 days " + practice}, youngGoneEarly},
	{Rule{"growth not as expected", record.Look, "a bone of an animal not grown last time lies beyond 2.5 s.d. of its predicted growth", "the curve that is named: Fabens 1965, Francis 1988, or one of known ages; 2.5 s.d. " + practice}, immatureGrowth},
	{Rule{"sampled before", record.Remark, "a sample taken once per animal was taken before; said as soon as the animal is known, before the punch", practice}, sampledBefore},
	{Rule{"once per animal", record.Look, "a sample taken once per animal is taken again", practice}, sampledAgain},
	{Rule{"label used before", record.Stop, "two samples bear one label", logic}, labelUsedBefore},
	{Rule{"label outside its series", record.Look, "the label is in none of the series kept for that kind of sample", logic}, labelOutsideSeries},
	{Rule{"order of times", record.Stop, "bagged before found, released before bagged, or the like", logic}, timesInOrder},
	{Rule{"over the time limit", record.Stop, "in the hand or in the bag longer than the limit", approval}, overTimeLimit},
}

// Rules of a night's traps and rounds.
var (
	trapUnseen   = Rule{"trap not seen", record.Stop, "a trap was set and a round ended without its outcome", logic}
	trapUnclosed = Rule{"trap not closed", record.Stop, "the trip's last dawn is over and nobody wrote the trap closed", logic}
	notReleased  = Rule{"not released", record.Stop, "an animal was found or bagged, the night is over, and nobody wrote what became of it", logic}
	roundClock   = Rule{"round's clock against its night", record.Look, "a round or a trap check was written at a time outside noon of the night to 18:00 the next day", practice}
)

// Rules of the whole register.
var (
	sameAndNotSame = Rule{"same, and not the same", record.Look, "a line takes captures apart that other lines make one animal", logic}
	twoProtocols   = Rule{"two protocols", record.Look, "two adopted protocols replace the same version", logic}
	twoVersions    = Rule{"two versions", record.Look, "two standing lines say one thing differently", logic}
)

// Rules of several devices writing one notebook.
var (
	afterLock    = Rule{"after the lock", record.Look, "lines about a locked trip came that its lock does not know", logic}
	copiedDevice = Rule{"one device at two places", record.Look, "a notebook was copied with its key, and both copies were written in", logic}
	wrongClock   = Rule{"clock off", record.Look, "a device's clock was found more than 5 minutes wrong", practice}
	clockAhead   = Rule{"clock a day ahead", record.Look, "a device's clock was found more than a day ahead; nobody takes its time over", practice}
	newDevice    = Rule{"device not admitted", record.Look, "a device writes that no leader has admitted, as a notebook put back from a backup does", logic}
	lostDevice   = Rule{"written after it was shut out", record.Look, "lines of a device bear a time after it was shut out", logic}
	noLeader     = Rule{"no leader's word", record.Look, "a line admits or shuts out a device, and no leader's device wrote it", logic}
)

// Rules gives every rule, for a page that lists them.
func Rules() []Rule {
	var all []Rule
	for _, r := range captureRules {
		all = append(all, r.Rule)
	}
	return append(all, trapUnseen, trapUnclosed, notReleased, roundClock,
		sameAndNotSame, twoProtocols, twoVersions,
		afterLock, copiedDevice, wrongClock, clockAhead, newDevice, lostDevice, noLeader)
}
