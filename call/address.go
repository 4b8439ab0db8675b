package call

// Addresses of fields. Rows of a list are numbered from 1 within one phrase;
// the bench adds them to the rows it has.
//
//	status, species, bycatch, sex, stage, brief      of the animal; brief: not processed
//	trap, outcome                                    where it was, or what the trap in hand held
//	marks/KIND/text, /tail, /act, /how, /sealed      a transponder: whole number, end of it, put, read twice
//	marks/KIND/scan                                  none found, where one was put in after that
//	marks/KIND.SIDE/text                             an ear tag
//	weighing/gross, /bag, /net, /tared               grams
//	measures/TRAIT, measures/TRAIT.SIDE              of the animal; .SIDE where the sheet says sided
//	measures/TRAIT/side                              of a recorded measurement, where only that was wrong
//	measures                                         not checked: nothing was measured
//	signs/SIGN                                       a value of the sheet's sign: pouch, testes, lactating, condition
//	condition/score, /scale; dehydration             three out of five
//	pouch/checked (yes, no, by feel), pouch/taped
//	teats/total, teats/in use, teats/N/state, /n, /position, /milk
//	young/count, young/at foot, young/link, young/sex/SEX (how many)
//	young/N/sex, /attached, /where, /trap, /state, /returned, /warming, /measures/TRAIT, /signs/SIGN
//	findings/N/sign, /part, /side, /count, /low, /high, /class, /engorged
//	findings/N/age, /healed, /scabby, /seconds, /size, /cause
//	samples/N/kind, /label, /part, /side, /medium, /amount, /source
//	incidents/N/kind, /person site, /aid; follow-up; actions/N
//	released/fate, /where (here, or in words), /with young, /behaviour, /time, /why
//	checks/N/trap, /outcome, /species                what each trap held at this round
//	line/name, /outcome, /event, /count, /range; except/N/trap, /outcome, /species
//	time, time/out of trap, minutes/handling, minutes/timer, weather/temp, weather/says
//
// A question may also be about "marks" (a number that no chip carries),
// "samples/label" (used before), or one of the topics of heard.go.
const (
	atGross = "weighing/gross"
	atBag   = "weighing/bag"
	atNet   = "weighing/net"
	atTared = "weighing/tared"
)
