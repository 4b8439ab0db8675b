package call

// everyday are words of every day that stand in a call and change nothing of
// what it says. None of them tells a side, a place, an age, a grade or a count.
var everyday = wordSet(`i i'm i'll you we they them him me us my your our their who which what where when why how
	am been being had do does did done can could will would may shall must let 'll 've 'd 'm
	and but or if as than so because though although while until till since for from in into onto off out up over
	with by about again still yet too very really quite pretty just also even
	good lovely nice great beautiful gorgeous cute sweet big little wee old
	girl boy lady mate mates buddy darling love sweetie beauty cutie
	look looks see saw watch hear heard feel feels felt think thought reckon guess know
	come came coming go going get getting take took taking put give keep kept hold holding
	time today tonight yesterday morning night now
	careful easy steady gently quick slowly please sorry okay right
	thing things stuff someone somebody something everything anything bloody damn blasted stupid silly
	torch light hat glove gloves pen pencil paper sheet book radio battery batteries ute car truck boat camp
	wind rain sun mud rock rocks stone creek track ridge gate hill tree grass sand
	told rest others other through taken collected plucked took made seen after before last night patch size piece plus found find
	mother mum cage trap glue glued drop near passes pass bit dangling hers his because here there where wherever
	yard paddock farmer fence road bridge water river swamp beach boulder log bush shrub scrub branch stick leaf leaves
	breakfast lunch coffee tea thermos sandwich biscuit chocolate water bottle pack backpack rucksack pocket bucket box esky
	cockatoo cockatoos kookaburra magpie crow owl birds bird frog frogs mozzies midges leeches mosquito dog
	phone camera signal reception map gps compass headlamp headtorch lamp spare pegs peg knot string flagging tape rope
	tired cold hot freezing sore knees back wet soaked muddy slippery steep dark foggy early late hurry
	ready wait waiting minute minutes second seconds hour hours week weeks month months year years ago
	new volunteer volunteers student students boss ranger farmer crew team people everyone nobody
	heavy noisy quiet angry cranky grumpy feisty fiesty lively wriggly wriggler squirmy strong stroppy bitey cheeky calm placid relaxed
	kicking kicks wriggling squirming fighting jumping bouncing biting growling hissing chattering
	beaut ripper bewdy crikey blimey jeez gosh heck hell bugger cripes wow ha haha oops whoops ouch ow yikes phew
	remember forget tell told ask asked say said says write wrote written type typed pass passed bring brought fetch grab
	start started finish finished stop stopped begin carry walk walking run running sit sitting stand standing move moving turn turning
	try trying need needs want wants like likes love hate hope wish believe suppose guess bet swear
	always never sometimes often usually maybe perhaps probably possibly hopefully luckily finally actually basically honestly obviously
	anyway anyhow somehow somewhat rather fairly nearly
	proper properly nicely perfect perfectly brilliant fantastic terrific awesome cool fine
	place places spot spots end middle top bottom edge corner
	home house shed office lab museum town shop
	sky moon stars star cloud fog frost dawn dusk sunrise daylight
	hand hands finger fingers thumb arm arms shirt sleeve jumper jacket boots boot sock socks pants knee
	name names number word words question answer
	an a any some another tip base fresh viral file checked bagged floor roo anything measure notice noticed sat go didn't door's door doors treadle bother bothered worth
	not can't couldn't won't wasn't isn't aren't weren't doesn't don't haven't hasn't leaving disturb used count hard knocked touching rub weaned properly shy
	ooh oooh aah aw aww hey hi hello bye yay yuck ew ugh whoa woah gee oi hush shh shush ahh eek
	stinks stink smells smell darling honey mister missy madam sir guys folks lads claws teeth log logs fingers boots
	cuppa bikkie snack water sunscreen hat raincoat gaiters tick-spray permethrin spray repellent
	halfway midway express press squeeze picking blowing howling dripping pouring shining rising setting`)

// storyOpeners open a breath that is spoken to somebody of the crew or tells of
// one, so that it says nothing of what was said before.
var storyOpeners = wordSet("i we you they can could would will who who's where when why look mind watch pass give ask someone somebody let don't have do did my our your get grab go come come's what shall should tell bring fetch take hurry stop keep quick quickly careful easy steady ooh good poor nice lovely what's where's nearly almost that's")
