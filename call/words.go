package call

// common is the vocabulary that every programme shares: lines of a meaning and
// the phrases for it. Common practice of many crews, without a published
// source (shorthand as in field books: N/C not checked, NAD nothing abnormal).
var common = map[kind]string{
	kSide: `
		left: left, l, left hand, lefty, left side
		right: right, r, right hand, righty, right side
		both: both, both sides, each, either, left and right, l and r`,
	kConvention: `
		without claw: no claw, no claws, without claw, without claws, without the claw, without the claws, without nail, without the nail, no nail, minus claw, minus the claw, claw off, short, less claw, excluding claw, excluding the claw, not including claw, to the pad, without it, without
		with claw: with claw, with claws, with the claw, with the claws, claw included, claws included, claw incl, including claw, including the claw, including claws, incl claw, with nail, with the nail, claw and all, plus claw, to the claw tip, long, with it, with`,
	kUnit: `
		mm: mm, mil, mils, mill, mills, millimetre, millimetres, millimeter, millimeters
		cm: cm, centimetres, centimetre, centimeters
		g: g, gram, grams, gramme, grammes, gm, gms
		kg: kg, kgs, kilo, kilos, kilogram, kilograms`,
	kRough: `
		rough: say, maybe, perhaps, probably, i'd say, possibly, somewhere about, somewhere near, somewhere round, in the region of, in the order of, about, around, roughly, approximately, approx, call it, say about, near enough, nearly, almost, somewhere around, circa, ~, maybe about, give or take, close to, just under, just over, bit over, bit under, a bit over, a bit under`,
	kRoughAfter: `
		rough: ish, or so, and a bit, roughly, or thereabouts, near enough, give or take, approx, approximately, and a touch, and something, odd, at a guess, ballpark, i think, i reckon, not sure, maybe, near as i can tell`,
	kFiller: `
		filler: should read, should've read, ought to read, reads as, read as, comes up as, came up as, is showing, showing, measures up at, measured at, clocks in at, tapes at, taped at, thanks, thank you, cheers, ta, is, was, are, were, 's, 're, it, its, this, that, that is, at, of, measures, measured, measuring, reads, reading, says, comes to, comes out at, coming to, came to, now, just, got, i got, i have, i make it, we have, we got, should be, should have been, should've been, should of been, ought to be, would be, um, uh, er, erm, okay, ok, so, well, then, equals, called, the, her, his, to, be, weighing, weighs in at, like, only, looks like, there, gave, gives, mate, please, weighs, about, got a, here, in at, today, ah, um um, she, he, from notch, from the notch, notch to tip, to tip, to the tip, from base, base to tip, from the base, crest to nose, to nose, to the nose, heel to toe, to the toe pad, bang on, spot on, dead on, right on, went, goes, came out at, comes out to, sits at, sitting at, comes in at, came in at, works out at, crest to nose pad, back of the head to nose, occiput to nose, tip to base, with the tape, with the callipers, with calipers, on the callipers, on the ruler, on the tape, has, has a, have, a`,
	kCorrect: `
		no: no, nope, nah, no no, no no no
		scrap: forget it, scrap that, scrap it, scrap, strike that, strike it, ignore that, ignore that one, ignore that last one, ignore the last one, ignore that last, scrap the last one, scrap that last one, strike the last one, strike that last one, cancel the last one, cancel that last one, delete the last one, forget the last one, forget that last one, ignore, ignore it, cancel that, cancel, delete that, scratch that, scratch it, forget that, rub that out, cross that out, undo that, disregard, disregard that, scrub that, wipe that, undo, no scrap that, no strike that
		make: make that, make it, sorry, hang on, i meant, i mean, correction, go back, actually, rather, should be, i misread, misread, i misread it, wrong, that's wrong, oops, my mistake, my bad, beg your pardon, pardon, that should be, should say, it's actually, read it wrong, let me correct that, whoops, try that again, back up, correct that to
		wait: wait, wait no, no wait, hold on, hang on a sec, hang about, hang on no`,
	kConfirm: `
		yes: right o, righto, right oh, rightio, right you are, yep, yes, yeah, yup, correct, affirm, affirmative, that's right, that's it, that's correct, roger, spot on, copy, copy that, aye, confirmed, confirm, you got it, exactly right, all good, that is correct, that is right, bang on`,
	kNegative: `
		no: that's not what i said, not what i said, i didn't say that, negative, neg, not correct, incorrect, that's not right, not right`,
	kControl: `
		hold: hold, hold it, hold that, hold there, pause, stand by, standby, wait one
		next: next, next one, next animal, next please, move on, ready for next, next bag
		leave it: leave it, leave, leave that, leave it there, leave it as is, leave it as it is, leave that as is, keep it, keep that, let it stand, leave that one, it stands
		again: i'll do it again, do it again, i'll do that again, do that again, redo, redo it, redo that, remeasure, re measure, i'll redo it, i'll redo the, measure it again, measure that again, start again, i'll start again, let me do that again, let me redo that, leave the, i'll get it again, have another go, i'll have another go, scrap the, scratch the, strike the, delete the, ignore the, scrub the, redo the, remeasure the, re measure the, do the, i'll remeasure, i'll re measure, i'll remeasure it, i'll re measure it, try again, i'll try again, try that again, do over, one more go`,
	kQuery: `
		query: how many, what number did i say for, what number did i give for, what did i give you for, what did i give for, what number was, say again, repeat, what was, what's, what is, what did i say for, what did you get for, what did we get for, what have you got for, what have we got for, read back, read me, say that again, repeat that, come again, did you get, have you got, have we got, have we done, did we do, did i give you, did i say, read that back, remind me, can you repeat, what did i call for, what did we have for, what do you have for, give me back, did we get, how long was, how long is, how heavy was, how heavy is, how big was, what did i say, what did we say, what did you have for`,
	kSwap: `
		swap: swap those, swap them, swap, swap those two, swap these, swap around, other way round, other way around, wrong way round, wrong way around, vice versa, those are the wrong way round, those are swapped, i swapped those, got those backwards, flip those, switch those, switch them, switch those two`,
	kAgain: `
		again: again, once more, repeat, second go, third go, second reading, third reading, and again, second, third, first`,
	kMissing: `
		not measured: can't do, can't do the, forgot, forgot the, won't do, won't do the, never got, never got the, never measured, never measured the, never did, never did the, no, skip, skip the, skipped, skipping, skipping the, didn't get, didn't get the, did not get, didn't measure, didn't measure the, didn't do, didn't do the, couldn't get, couldn't get the, couldn't measure, couldn't measure the, can't get, can't get the, can't measure, can't measure the, couldn't do the, not measuring, not measuring the, not doing, not doing the, missed the, missed, forget the, forget, never mind the, n/c, nc, not getting, not getting the, unable to measure, unable to get, no time for, no time for the, ran out of time for, ran out of time for the, ran out of time on the, out of time for the, don't bother with the, don't bother with, leave out, leave out the, haven't got, won't get, won't get the, pass on, pass on the, no go on the, didn't take, didn't take the, did not take, not taking, not taking the, couldn't take, couldn't take the, won't take, can't take, didn't collect, no luck with, no luck with the, not enough for a, not enough for`,
	kMissingAfter: `
		not measured: not measured, not taken, not done, skipped, skip, n/c, nc, not checked, not today, –, missed, unknown, not possible, couldn't get it, didn't get it, can't get it, not read, wasn't measured, no good, unmeasured, not recorded, not measurable, pass`,
	kWhy: `
		damaged: damaged, docked, broken, injured, swollen, stump, stumpy, kinked, torn, bent, snapped, cut short, degloved, chewed, part missing, bit missing, half gone, half missing, hurt
		tip_missing: tip missing, tip gone, tip lost, tip off, lost the tip, missing the tip, missing its tip, no tip, tip's gone, tip's missing, tip is missing, tip is gone, tip's off
		animal_stress: stressed, she was done, he was done, she's done, he's done, stressed out, too stressed, had enough, she's had enough, he's had enough, panting, kicking too much, wriggling, too wriggly, struggling, kicking, won't hold still, fighting, too feisty
		escaped: got away, escaped, jumped, took off
		same_session: same session, done last night, did it yesterday, did it last night, done yesterday, measured last night, measured yesterday, got it yesterday, got it last night
		too_cold: too cold, cold
		already_sampled: had one last trip, had one last month, had one last year, one last trip, did one last trip, done last trip, got one last trip, already had one, had one already, has had one, we've got one, got one from her, got one from him, got hers, got his, have hers, have his, one on file, on file, done last, did one last, got one last, sampled before, sampled already, sampled last, had hers, had his, biopsied before, biopsied last, already done, already has one, already biopsied, got one already, has one already, already sampled, done before, already taken, taken already, already got one, have one already
		too_small: too small, too little, tiny
		no_time: ran out of time, running out of time, no time, out of time, in a hurry, running late`,
	kSex: `
		female: sheila, jill, gal, hen, female, girl, doe, lady, fem, ♀
		male: bull, jack, lad, gent, male, boy, buck, fella, bloke, ♂
		not told: dunno the sex, sex unclear, sex not clear, no sex, sex not recorded, sex not checked, sex undetermined, sex uncertain, not sure if it's a boy or a girl, couldn't make out the sex, couldn't get a sex, couldn't get the sex, didn't get a look at the sex, didn't check the sex, sex unknown, unknown sex, don't know the sex, didn't sex it, couldn't sex it, couldn't sex, can't sex, can't sex it, unsexed, didn't get the sex, not sexed, sex not known, couldn't tell the sex, can't tell the sex, sex not checked, sex unsure, didn't see the sex, no idea of the sex, no idea what sex, couldn't tell what sex, sex not determined, sex indeterminate, don't know what sex, don't know what sex it is, not sure of the sex, not sure what sex, not sure of sex, no idea about the sex, sex not sure, couldn't see the sex, couldn't see what sex, can't see the sex, couldn't check the sex`,
	kStatus: `
		new: new capture, first time for this one, never seen before, not seen before, first time we've had her, first time we've had him, not marked before, fresh animal, fresh one, brand new animal, new animal, brand new, new, new one, first timer, first capture, first time caught, unmarked animal, never been caught, clean skin, cleanskin, not caught before, new individual
		recapture: recapture from last trip, recap from last trip, seen before, caught last trip, had her last trip, had him last trip, known one, old girl again, a regular, been caught before, has been here before, we know her, we know him, we know this one, marked animal, recap, recapture, recaptured, re cap, been here before, old friend, known animal, caught before, marked already
		retrap: retrap, re trap, retrapped, same one as yesterday, same one as last night, same animal as yesterday, same animal as last night, same as yesterday, same as last night, had her yesterday, had him yesterday, had her last night, had him last night, caught last night, caught yesterday, repeat customer, got her yesterday, got him yesterday, had this one yesterday, had this one last night, second time this trip, from last night, again this session, already caught this trip, same session`,
	kOutcome: `
		bait taken: bait gone door open, bait taken door open, bait taken, bait gone, bait eaten, no bait door open, no bait left, bait's gone, bait missing, bait robbed, bait stolen, bait cleaned out, open no bait, open bait gone, bait gone still open, bait's been taken, bait has been taken, bait has gone, bait's been eaten, lost its bait, robbed
		sprung: shut with nothing in it, shut nothing inside, shut no animal, closed no animal, closed with nothing in it, door down nobody in, sprung nobody in, sprung nobody home, sprung but nothing in it, tripped nothing in it, went off empty, sprung, sprung empty, shut empty, shut but empty, closed empty, closed but empty, tripped, triggered, door shut nothing in it, door down nothing in it, shut nothing in it, closed nothing inside, closed nothing in it, shut and empty, closed and empty, sprung nothing, sprung nothing in it, door shut and empty, door down empty, door closed empty, shut nobody home, door shut nobody home, closed but nobody home, shut but nobody home, door down nobody home, closed nobody home, gone off, set off, false alarm, sprung but empty, door shut but empty, door's shut but empty, sprung no animal, tripped empty, door down but empty, fired
		not set: not set, wasn't set, didn't set, never set, wasn't opened, unset, not opened, left closed, we didn't set, wasn't armed
		disabled: knocked about, knocked sideways, pushed over, bowled over, kicked over, caved in, chewed up, run over, squashed, disabled, broken, jammed, stuck, door stuck, door jammed, stuck open, knocked over, tipped over, flipped, flipped over, rolled, rolled over, upside down, flooded, full of water, full of ants, treadle jammed, treadle stuck, treadle's jammed, won't trigger, dragged, crushed, washed away, missing trap, stolen, out of action, on its side, wouldn't set, wrecked, busted, bent door, door's broken, door broken, gone, vanished, jammed open, treadle's stuck, dead trap, stick in the door, out of order
		escaped: escaped, got away, got out, took off, jumped out, ran off, bolted, lost it, broke free, slipped out, legged it, shot out, got past me, out the back, gone before we got there
		dead: dead on arrival, found her dead, found him dead, found it dead, found her dead in the trap, found him dead in the trap, found it dead in the trap, dead when we got there, dead when i got there, dead, dead in trap, dead in the trap, deceased, one dead, carcass, found dead, d i t
		empty: bare, zilch, nowt, nobody in, no one in, nothing doing, no luck, no joy, not a thing, diddly squat, bugger all, no takers, no customers, empty, nothing, nil, clear, nobody home, no one home, no animal, untouched, still open, open and empty, open empty, undisturbed, nothing in it, open untouched, nix, nada, set and empty, open bait still there, zip, vacant
		capture: capture, one in, got one, occupied, someone home, animal in, animal, one inside, full, we have one, somebody home, got somebody, closed and heavy, door shut and heavy`,
	kRound: `
		line: line, row, transect, traps
		all: all the, all of, all, whole, the whole, rest of, the rest of, everything on, the entire, every trap on
		except: except, except for, apart from, bar, but for, other than, all but, excepting, but not
		set: set, we only set, only set, we set, opened, set out, put out, traps set, armed
		closed: closed, shut, all closed, closed up, shut down, traps closed, all shut, locked down`,
	kWeigh: `
		gross: with her in the bag, with him in the bag, with it in the bag, her in the bag, him in the bag, bag and contents, animal in bag, animal in the bag, gross, gross weight, gross mass, all up, total, total weight, bag and animal, animal and bag, animal plus bag, bag plus animal, bag and all, with the bag, with bag, including the bag, including bag, including her bag, for her and the bag, for him and the bag, for it and the bag, her plus the bag, him plus the bag, plus the bag, her and bag, bag included, altogether, in total, gross is, together, all together, all in, in the bag total, with bag on, with the bag on, with the bag included, bag and her, bag and him, her and the bag, him and the bag, in bag, in the bag
		bag: bag, bag weight, bag's weight, bag weighs, empty bag, the bag, tare, tare weight, bag alone, wet bag, bag only, dry bag, bag on its own, bag empty, for the bag, bag by itself, weight of the bag, weight of bag, bag mass
		net: net, net weight, nett, net mass, actual weight, without the bag, without bag, less the bag, minus the bag, bag off, real weight, true weight, animal only, animal alone, her actual weight, less bag, on her own, body weight, not counting the bag
		scale: balance says, balance reads, the balance says, on the balance, spring balance says, spring balance reads, spring balance, scales said, scale said, on the spring balance, on the hook, on the scale, on the scales, scale says, scales say, scale reads, scale's reading, scales read, on scale, the scale says
		tared: tared, scale tared, scale's tared, zeroed, scale zeroed, scale's zeroed, already tared, scale is tared, tared off, tared out
		not tared: not tared, untared, isn't tared, wasn't tared, forgot to tare, didn't tare, scale not tared, scale isn't tared, haven't tared, not zeroed, scale's not tared
		same bag: same bag, same bag as before, same bag again`,
	kDimension: `
		length: length, long, lengthwise
		width: width, wide, across, breadth, broad`,
	kForeign: `
		foreign: metres, metre, meters, meter, m, k, kms, km, kilometres, kilometre, minutes, minute, mins, min, hours, hour, o'clock, seconds, secs, sec, years, year, days, day, weeks, week, months, month, nights, night, times, percent, %, degrees, more, traps, trap, animals, bags, people, steps, dollars, bucks, left to go, to go, past, am, pm, of them, of those, of us, teats, volts, k's, ks, litres, beers, coffees, cups, sites, lines, grids, trips, knots, rounds, volunteers, students, boxes, batteries, birds, roos, feet, foot, inches, th, st, nd, rd, thousand, photos, pages, teeth, toes, fingers, down, young, joeys, flags, pegs, pairs, in a row, captures, recaps, new ones`,
	kChip: `
		chip: chip, chip number, chip's number, microchip, microchip number, pit, pit tag, transponder, transponder number, scan, scan says, scanner, scanner says, scanned, scans, scan reads, scanner reads, chip reads, reader, reader says, reader reads, reader gives, pit number, scans as, scanned as, the scanner, chip scans
		ends: ends, ends in, ending, ending in, end in, last four, last three, last five, last digits, last four digits, last three digits, tail of the chip, chip ends, chip ends in, chip ending, chip ending in, ends with, chip tail, finishes, finishing, finishes in, last four are, last three are, chip's ending
		none: couldn't get a chip read, couldn't get a chip reading, can't get a chip read, no chip, chip not read, chip unread, didn't read the chip, couldn't scan the chip, couldn't scan, didn't scan, no chips, no chip on her, no chip on him, no chip in her, no chip in him, not a beep, no beeps, no signal, nothing on two scans, nothing on three passes, no chip found, not chipped, unchipped, unmarked, no pit, no pit tag, no microchip, never chipped, no marks, no mark, before we chipped it, before we could chip it, before chipping it, before we got a chip in, before it was chipped, before chipping, before scanning, before we scanned it, before we scanned her, before we scanned him, before we could scan it, before we could scan her, before we could scan him, before we got a scan, before we could chip her, before we could chip him, before we chipped her, before we chipped him, before we read it, before we read the chip, scans blank, no scan, no read, nothing on the scanner, scanner's reading nothing, scanner reading nothing, scanner reads nothing, scanner says nothing, scanner gives nothing, scanner's getting nothing, reading nothing, no reading on the scanner, doesn't scan, won't scan, chip won't read, no chip reading, scan negative, scanned nothing, scanned clear, scanned clean, nothing scanning, not scanning, chip's not reading, no number on the scanner, scanner's got nothing, scanned no chip, can't find a chip, couldn't find a chip, can't find the chip, scanner finds nothing, nothing on the scan, scanned blank, no beep, scanner found nothing, not marked, scanner blank, scanner's blank, can't read the chip, can't get a read, can't get a reading, no luck scanning, couldn't read the chip, couldn't get a read, chip not reading, no response from the scanner
		put: chipping now, chipping this one, putting one in, putting a chip in, putting a new one in, putting a new chip in, putting in a chip, putting in a new one, putting in one, put one in, put a new one in, popping one in, popping a chip in, popped one in, popped a chip in, giving her one, giving him one, gave her one, gave him one, new one going in, new one in, chip going in, chipping her, chipping him, chipping it, implanting, implanting one, inserting one, inserting a chip, new chip, put a new chip in, put a chip in, put the chip in, chipped her, chipped him, chipped it, chip in, chip's in, implanted, implanted a chip, microchipped, put a new chip, chip put in, new chip in, new microchip, chipping her now, chipped now, inserted, new pit, put chip, chip went in, chipped with
		verified: scanned before and after, reads fine, scans fine, scanned after, rescanned, rescanned fine, scanned again, checked it reads, reads ok, reads okay, scans ok, scans okay, reading fine, verified, scanned it twice, scanned twice, read twice, reads well, reading ok, scans well, scanned and reads, read it back, scanned and good, checked after, reads good, scanned before and after fine, reading well, works
		sealed: sealed, glued, glue on, sealed it, sealed the hole, glued the hole, sealed with glue, hole sealed, hole glued, vetbond on, puncture sealed, sealed it with glue, glued it, glued shut, site sealed
		not sealed: not sealed, didn't seal it, unsealed, no glue
		felt: can feel a chip, i can feel a chip, feel a chip, can feel one, can feel it, felt a chip, feels like a chip, lump under the skin, can feel the chip, feel it under the skin, i can feel one, i can feel it, feels like there's a chip, chip under the skin, can feel a lump
		lost: chip scar, scar but no chip, old chip hole, chip's gone, chip has gone, chip's fallen out, lost its chip, lost her chip, lost his chip, chip lost, old biopsy hole, had one before, old hole in the ear, biopsied before, old biopsy scar, old ear biopsy, been biopsied, biopsy scar, old punch hole, old punch, old notch`,
	kWear: `
		faded: faded, can't read it, can't read, unreadable, illegible, something, worn, couldn't read it, couldn't read, didn't get the number, can't make it out, number's gone, couldn't see the number
		gone: gone, missing, torn out, ripped out, lost, fallen out, pulled out, no tag, tag gone, tag missing, tag's gone, tag torn out, pulled through
		colour: blue, green, red, yellow, white, black, orange, purple, pink, silver, brass, gold, grey, brown, metal, plastic`,
	kChatter: `
		chatter: nothing else, nothing more, nothing to report, nothing new, back in a tick, be back in, in a tick, half a tick, just a tick, a tick mate, in two ticks, back in two, give us a hand, give me a hand, lend a hand, lend us a, lend me a, need a hand, hand me, pass me, on the other hand, in good hands, hands off, hands full, to hand, at hand, by hand, hand over, tail end, tail wind, head down, heads up, head back, head off, head out, head over, head up, head in, head home, head torch, headtorch, head lamp, head first, ahead of, heads or tails, keep an ear, by ear, play it by ear, on foot, my foot, your foot, my head, your head, my ear, your ear, my back, foot of, at the foot, head of, ear out, wait for, weight off, wait till, wait until, reckon, yesterday's, tell him, tell her, tell them, tell me, tell you, tell us, i bet, bet you, wish, dreamt, radio, camp, lunch, breakfast, coffee, ute, truck, car park, tail gate, tailgate, tail light, mind the, mind your, watch the, watch your, watch out, weigh in, weighing on, your weight, my weight, pull your weight, worth its weight, head count, head start, head north, head south, head east, head west, in over my head, off the top of my head, bag of, bag it, sleeping bag, pouch of, the other crew, other team, head for, heading, foot path, footpath, football, sex and, ticks all the boxes, ticking, chip packet, chips, wood chips, cut off, by the tail, hold the tail, hold her tail, grab the tail, grab her tail, grab his tail, hold the head, mind her head, mind his head, cover her head, cover his head, cover the head, watch her head, mind her tail, mind his tail, mind her feet, watch her tail, watch her foot, got my foot, cold feet, got cold feet`,
	kPast: `
		past: last year, last time, last trip, last week, last month, last season, last visit, last session, years ago, year ago, months ago, weeks ago, next year, remember, used to, last summer, last winter, last autumn, last spring, in the old days, years back, before that, back then, on the sheet, the other crew, the other team, next door's, other handler, their animal, that other one`,
	kYoung: `
		young: jelly been, jelly beam, jelly beans, young, joey, joeys, pouch young, py, pys, bean, beans, jellybean, jellybeans, jelly bean, jelly beans, pinky, pinkie, pinkies, pinkys, pup, pups, baby, babies, youngs, little one, little ones, bub, bubs, neonate, neonates
		at foot: young at foot, yaf, yaff, young afoot, joey at foot, young joey at foot`,
	kYoungWord: `
		fur=unfurred: pink, furless, naked, unfurred, bald, hairless, no fur, no fur yet, bare, not furred, un furred
		fur=fine: coming into fur, just coming into fur, getting fur, starting to get fur, fur coming through, fur coming in, furring up, furring, fine fur, fuzz, fuzzy, peach fuzz, fine fuzz, velvety, velvet, downy, just furring, lightly furred, starting to fur, fine hair, bit of fuzz, finely furred, thin fur, sparse fur, short fine fur, fur just coming
		fur=furred: got fur, has fur, furred, fully furred, furry, full fur, well furred, in fur, covered in fur
		eyes=closed: eyes closed, eyes shut, eyes fused, eyes still closed, eyes still shut, eyes not open, closed eyes, eyes sealed
		eyes=opening: eyes just open, eyes opening, eyes just opening, eyes half open, eyes just cracked, eyes starting to open, eyes barely open, eyes slitting, eyes slits, eyes cracking, one eye open, eyes just about open, eyes just starting to open
		eyes=open: eyes open, eyes wide open, eyes fully open, eyes are open, open eyes, eyes all open
		attached: on the teat, attached, on teat, still attached, on the nipple, latched, latched on, firmly attached, still on the teat, all attached, on a teat, on, hanging on, all on teats, all on the teat, all on, on the left teat, on the right teat
		detached: off the teat, out of the teat, unattached, not attached, detached, loose in the pouch, off teat, free of the teat, let go of the teat, came off the teat, loose, off, fell off the teat, not on the teat, free
		in pouch: in the pouch, in pouch
		pigment=pigmented: pigmented, skin dark, dark skin, dark, pigmenting, skin darkening
		pigment=greying: grey skin, greying, skin grey, skin greying, grey, gray, going grey
		too small: too small to sex, too little to sex, too young to sex, too small to tell sex, too small to tell the sex, can't sex it yet, too small for sexing, too tiny to sex, too early to sex
		warm: warm, it's warm, still warm
		cold: cold, cool, it's cold, chilled
		alive: alive, alive and kicking, wriggling, moving, vigorous
		dead: dead, not moving, limp
		returned: put it straight back, straight back in, put straight back, put it straight back in, put it back on the teat, back in the pouch, put back, returned, popped back in, popped back, tucked back in, back in, tucked back, put it back, put her back, put him back, back in pouch, back on the teat, replaced, slipped back in, put back in, back where it belongs
		warming: warmed it up, warmed it, warmed up, warmed her up, warmed him up, warmed them up, warming it, warming, warming up, keeping it warm, in my shirt, down my shirt, under my jumper, warming them, warm it up
		sex=female: female, girl, ♀
		sex=male: male, boy, ♂
		sex=not told: don't know, unknown, not sure, can't tell, unsexed, sex unknown, couldn't tell, dunno, no idea, unsure`,
	kTeat: `
		undeveloped: tiny, undeveloped, inverted, pin prick, pinprick, pin pricks, pinpricks, not developed, never used, barely there, unused, little pink dots, flat
		small: small, smallish, little
		everted: everted, out, popped out, sticking out
		enlarged: enlarged, big, swollen, large, biggish, plump
		elongated: longer, a bit longer, bit longer, longish, a bit long, bit long, long, elongated, stretched, long and thin, stretched out, drawn out, pulled out, long one
		lactating: lactating, full of milk, producing, making milk, wet
		regressing: regressing, regressed, flaccid, going back, shrinking, drying up, shrivelled, dried up, drying off, winding down, wrinkly`,
	kAmount: `
		2+: couple of, a couple of, couple, a couple, pair of, a pair of, a pair
		3+: few, a few
		12: dozen, a dozen
		6: half a dozen, half dozen
		many: a good few, a bunch, quite a lot, quite a lot of, a good many, umpteen, no end of, oodles of, scads of, truckloads of, squillions of, good number of, lots, lots of, heaps, heaps of, many, plenty, plenty of, loads, loads of, tons, tons of, masses, bunch of, a bunch of, quite a few, a lot, a lot of, a fair few, loaded, stacks, stacks of, dozens, swarms, numerous, everywhere, all over
		heavy: full of, thick, absolutely covered in, covered in, crawling with, infested with, riddled with, smothered in, alive with, thick with, lousy with, plastered in, plastered with, heavy, heavily, heavy load, covered, infested, crawling, riddled, smothered, caked, heavy burden, heavy infestation, thick with, thick
		uncountable: uncountable, too many to count, countless, can't count them, can't count, hundreds, couldn't count, couldn't count them, lost count, beyond counting, not countable, more than i can count, too many
		few: hardly any, barely any, not many, light, light load, scattered, sparse
		0: no sign of, no sign of any, free of, not a single, without a single, no evidence of, not one, nil seen, none found, none visible, none that i can see, not any, none, nun, nil, no, clean, zero, nothing, clear, none seen, nought, nad, zip, free`,
	kMedium: `
		dry: dry
		ethanol: ethanol, in ethanol, in alcohol, alcohol, meths
		buffer: buffer, in buffer, lysis buffer, in lysis buffer
		frozen: frozen, on ice, in the freezer, in the esky
		paper: paper, in paper, in an envelope, envelope, paper envelope, in a paper envelope
		medium: in medium, transport medium, in transport medium, medium
		EDTA: edta, in edta
		FTA card: fta card, on a card, on card, on fta`,
	kLabel: `
		label: tubes, vials, envelopes, labels, packets, jars, tube, tube number, vial, vial number, number, label, label number, labelled, bag number, slide number, sample number, num, no, envelope number, tube no, #, numbered, in tube, in vial, jar, jar number, card number, barcode, packet number, packet, envelope, zip lock, ziplock, container, pot, eppendorf`,
	kIncident: `
		young ejected: thrown the joey, thrown her joey, thrown the young, thrown her young, threw the joey, threw her joey, threw the young, threw her young, thrown it, dropped it, ejected it, tossed it, chucked it, threw it, joey out, joey's out, young out, thrown, thrown her pouch young, thrown the pouch young, threw her pouch young, ejected the joey, ejected the young, ejected her young, ejected her joey, ejected, dropped the joey, dropped her joey, dropped the young, dropped her young, joey's out of the pouch, young's out of the pouch, joey out of the pouch, joey in the bag, young in the bag, pouch young in the bag, tossed the joey, tossed her joey, joey thrown, young thrown, chucked the joey, chucked her joey, tossed her young, tossed the young, dropped her pouch young, dropped the pouch young, lost the joey, has thrown, joey fell out, young fell out, joey's fallen out, young's fallen out, fallen out of the pouch, ejected pouch young, lost her joey, joey's on the ground, kicked the joey out, kicked out the joey
		torpor: cold and lethargic, lethargic and cold, dopey and cold, cold and dopey, cold and still, torpid and cold, cold and unresponsive, cold and sleepy, torpid, torpor, in torpor, cold and floppy, floppy and cold, cold and limp, cold and slow, cold and sluggish, cold to touch, cold to the touch
		distress: distressed, distress, in distress, panting hard, panting, gone floppy, open mouth breathing, open mouthed, breathing hard, drooling, shaking, flat out and panting, gasping, overheating, overheated, gone limp, breathing fast, collapsed, shivering, heat stressed, heat stress, not breathing well, in shock, frothing
		escape: escaped from the bag, got out of the bag, chewed out of the bag, chewed through the bag, jumped out of the bag, out of the bag and gone
		person hurt: bit me, bitten me, bit my, got me, she's got my, bitten, she bit, he bit, it bit, bitten on the, got bitten, got bit, been bitten, scratched me, scratched, bit the handler, handler bitten, bite to, bitten on, bite on, bitten by, nipped me, got my, nipped my, chomped my, chomped me, sunk her teeth into, sunk his teeth into, latched onto my, needle stick, needlestick`,
	kRelease: `
		released: release her, release him, release it, releasing her, releasing him, releasing it, letting her go, letting him go, letting it go, letting them go, released her, released him, released it, released them, released, let go, let her go, let him go, let it go, straight out, off she goes, off he goes, off it goes, away she goes, away he goes, she's away, he's away, let loose, set free, gone, she's gone, turned loose, let them go, let out, freed, back out, out she goes, out he goes
		here: at the trap, at trap, at capture point, at the capture point, at point of capture, at the point of capture, where caught, where she was caught, where he was caught, where it was caught, same spot, same place, on site, at her trap, at his trap, in place, at capture site, at the capture site, same trap, where we caught her, where we caught him
		with young: together, with the joey on her back, with young, with joey, with the joey, with her joey, with the young, joey on her back, young on her back, with joey on board, joey on board, with pouch young, with her young, joey in the pouch, young in pouch, joey with her, young with her, joey in pouch, with the pouch young, with joey in pouch, with young at foot, with her young at foot, young still in the pouch, joey still in, both together, joey safely in, with joey aboard, joey aboard
		not processed: not processed, unprocessed, not measured, didn't process, no processing, not worked up, straight out, without processing, didn't work it up
		behaviour: flew off, flew away, flew, flew straight off, scampered off, scurried off, scuttled off, waddled off, slithered off, shuffled off, trotted off, swam off, hobbled off, lolloped off, hopped off, hopped away, ran off, strong, strongly, ran, bolted, moved off well, moved off, bounded off, walked off, limping, slow, slow to leave, sat there, sat for, stayed put, into the scrub, straight into cover, into cover, into burrow, into the burrow, down the burrow, climbed, up a tree, up the tree, wobbly, unsteady, staggered, fine, alert, well, good, fast, quick, quickly, calm, calmly, hopped, bounded, shot off, straight off, no limp, sluggish, slowly, happily, bit wobbly, looked good, looked fine, into the grass, ran well, hopping fine, in good shape`,
	kWeather: `
		frost: frost, bit of frost, frosty, heavy frost, light frost
		rain: rain, raining, rainy, wet, showers, shower, drizzle, drizzling, rain overnight, spitting, bit of rain
		fog: fog, foggy, mist, misty
		wind: windy, wind, breeze, breezy, blowing, gusty, light wind, strong wind
		clear: clear sky, clear skies, clear, sunny, fine, clear night
		cloud: cloudy, overcast, cloud, clouds, cloud cover
		calm: calm, still
		hot: hot, warm, humid
		cold: cold, freezing, icy, chilly
		storm: storm, stormy, thunder, lightning
		dew: dew, dewy, heavy dew
		snow: snow, sleet, hail`,
	kAction: `
		close line: closing that line, closing the line, close that line, close the line, closing this line, close this line, shut that line, shut the line, shutting that line, shutting the line, closing the row, shut this line, shutting this line
		close traps: close the traps, closing the traps, closing all traps, close all traps, shut the traps, closing up, shut them all, closing all the traps, close everything, shutting everything, close the lot, shut the lot
		notify: ring the ranger, call the ranger, tell the ranger, notify the ranger, ring the, call the, notify, notifying, report it, reporting it, ring the boss, radio it in, calling it in, call it in, tell the boss, let the boss know, ring the office, ring the vet, call the vet, phone the, tell the coordinator, call the coordinator, let the ranger know
		stop: stop the round, call it off, abort, abandon, stopping here, stop now`,
}

// ejections are the ways to say that a young came out of the pouch in the hand.
func ejections() []string {
	var out []string
	nouns := []string{"joey", "young", "pouch young", "py", "bean", "pinky", "jellybean", "baby", "little one"}
	for _, noun := range nouns {
		for _, link := range []string{" ", "'s ", " is ", " was ", " has ", " has been ", "'s been ", " got "} {
			for _, verb := range []string{"thrown", "dropped", "ejected", "tossed", "out", "fell out", "fallen out", "came out", "come out", "popped out", "slipped out", "spat out", "shaken out", "on the ground", "out of the pouch", "thrown out"} {
				out = append(out, noun+link+verb)
			}
		}
	}
	for _, verb := range []string{"thrown", "threw", "dropped", "ejected", "tossed", "chucked", "spat out", "lost"} {
		for _, whose := range []string{" the ", " her ", " a ", " one ", " both ", " one of the ", " two "} {
			for _, noun := range append(nouns, "joeys", "beans", "pinkies", "babies") {
				out = append(out, verb+whose+noun)
			}
		}
	}
	return out
}

// holds are calls to whoever holds the animal, which name a part and say nothing
// of it.
func holds() []string {
	var out []string
	for _, verb := range []string{"hold", "grab", "mind", "watch", "cover", "steady", "support", "lift", "turn", "move", "tuck", "let go of", "leave go of", "careful of", "careful with", "control", "wrap"} {
		for _, whose := range []string{"her", "his", "the", "its", "that"} {
			for _, part := range []string{"head", "tail", "feet", "foot", "legs", "leg", "back", "ears", "ear", "eyes", "eye", "nose", "mouth", "claws", "claw", "bum", "belly", "hands", "back legs", "back feet", "hind feet", "hind legs", "body", "pouch", "young", "joey"} {
				out = append(out, verb+" "+whose+" "+part)
			}
		}
	}
	return out
}

// previousAnimal are the ways to say that a call is about the animal before.
func previousAnimal() []string {
	out := []string{"the last one was", "last one was", "last one had", "the last one had", "the last one should", "last one's", "the animal before", "the one before was", "the one before had", "last animal's", "previous animal's", "previous one's", "the previous one's"}
	for _, which := range []string{"last animal", "previous animal", "previous one", "one before", "animal before", "last female", "last male", "previous female", "previous male", "last girl", "last boy", "last joey", "prior animal", "last roo", "last bettong", "previous bettong"} {
		for _, lead := range []string{"", "the ", "that ", "on the ", "on that ", "for the ", "for that ", "with the ", "back on the ", "back to the ", "about the ", "from the "} {
			if lead == "" && (which == "one before" || which == "animal before") {
				continue
			}
			out = append(out, lead+which)
		}
	}
	for _, lead := range []string{"on the ", "on that ", "for the ", "for that ", "back on the ", "back to the ", "about the "} {
		out = append(out, lead+"last one")
	}
	return out
}

// commonTraits are the usual words for measurements by the usual ids; they
// count where the species sheet has such a trait.
var commonTraits = map[string]string{
	"mass":        "tips the scale at, tips the scales at, tipped the scales at, weighed her at, weighed him at, weighed it at, weight comes to, weight,  weighs, mass, wt, w, weighed in at, weighed at, weighs in at, weighing in at",
	"head":        "head, head length, hl, hd, skull",
	"pes":         "pes, foot, hind foot, back foot, hindfoot, hind foot length, pes length, p, pes is, hf",
	"tail":        "tail, tail length, tl, tail to the tip",
	"ear":         "ear, ear length, e",
	"forearm":     "forearm, arm, fa, forearm length",
	"leg":         "leg, tibia, knee to heel, lower leg, shin, leg length, tibia length, crus",
	"testis":      "testis, testes, testicle, testicles, nuts, ball, balls, nut, testis length, testes length, testicle length, length of testes",
	"crown-rump":  "crown rump, cr, crown to rump, crown rump length, rump length, crl, c r",
	"hind_foot":   "hind foot, foot, pes, hfl, hf, left hind foot, right hind foot",
	"total":       "total length",
	"neck":        "neck girth",
	"pouch depth": "pouch depth",
}

// commonFindAlikes are findings as a transcriber may write them.
var commonFindAlikes = map[string]string{"tick": "tics, kicks, tix, ticket", "flea": "flees, flee", "louse": "lies"}

// commonParts are further words for parts of the body by the usual ids.
var commonParts = map[string]string{
	"eye":     "eyelid, eyelids, eye lid, eye lids, eyebrow, corner of the eye, corner of the eyes",
	"ear":     "earlobe, ear lobe, ear canal, ear base, base of the ear, base of the ears, ear flap, ear flaps, ear rim, pinna, pinnae, ear hole",
	"nose":    "nostril, nostrils, whiskers, bridge of the nose",
	"head":    "top of the head, scalp, crown of the head, forehead",
	"mouth":   "jaw, gape",
	"chin":    "under the chin",
	"neck":    "scruff, nape, back of the neck",
	"back":    "spine, lower back, backbone, along the back",
	"flank":   "ribs, side of the chest",
	"belly":   "stomach, underbelly",
	"armpit":  "underarm, underarms",
	"cloaca":  "anus, around the vent",
	"pouch":   "pouch rim, pouch edge, pouch opening, rim of the pouch, edge of the pouch",
	"scrotum": "sac, scrotal sac",
	"hand":    "wrist, forepaws, front feet",
	"foot":    "heel, ankle, hock, sole, hind feet, back feet",
	"toe":     "between the toes, hind toe, hind toes",
}

// commonSigns are further words for signs by the usual ids.
var commonSigns = map[string]string{
	"pouch=undeveloped": "virgin, nulliparous, never bred, maiden, tight, tight and dry, small and tight, tight and clean, small and clean, never been used",
	"pouch=empty":       "empty, nothing in there, nothing there, no one in there, nobody in there, nothing, mt, m t, nothing in it, nobody home, no young, empty tea, nil, vacant",
	"pouch=empty clean": "empty and clean, clean, moist, empty moist, moist and red, red, empty and moist, pink and moist, clean and moist, moist and clean, empty and pink, wet, damp, empty and damp, clean and red, red and moist, empty clean, sticky",
	"pouch=empty dry":   "dry, empty dry, empty and dry, scaly, dry and scaly, scaly and dry, dry and empty, inactive, dry and clean, clean and dry, dirty and dry, dry and dirty, flaky, small and dry, crusty",
	"pouch=occupied":    "full, occupied, joey in, one in, young in, got young, has young, loaded, bulging, joey in there, one aboard",
	"pouch=slack":       "slack, dirty and slack, empty slack, empty and slack, slack and empty, stained, slack and dirty, slack and stained, stretched, loose, baggy, dirty, saggy, empty and stretched, loose and dirty, big and slack, slack and wet, empty and stained, empty and loose, stretched and empty, brown and slack, stained and slack, floppy, baggy and empty",
	"testes=scrotal":    "scrotal, down, descended, dropped, in the scrotum, fully descended",
	"testes=abdominal":  "abdominal, up, not descended, undescended, tucked up, drawn up, not down, retracted, pulled up, not scrotal, up inside, tucked in, inside, still inside",
	"testes=inguinal":   "inguinal, half down, part down",
	"condition=good":    "good, great, excellent, healthy, solid, good nick, good condition, in good nick, in great nick, nice, very good, tip top, good shape, in good shape, top",
	"condition=poor":    "poor, thin, skinny, bony, lean, emaciated, rough, in poor nick, poor nick, ribby, bad, very thin, poor condition, all bones, scrawny, poorly, in bad nick, bad nick",
	"condition=fair":    "fair, ok, okay, average, alright, moderate, reasonable, not bad, all right, medium, so so, in fair nick",
	"condition=fat":     "fat as butter, nice and fat, well covered, fat, plump, chunky, very fat, rolling fat, tubby, round",
}

// chipAlikes is "chip" as a transcriber may write it.
const chipAlikes = "ship, cheap, chap, chirp, chick"
