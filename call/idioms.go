package call

// idioms are figures of speech and remarks of the trap line that hold words of
// the record and say nothing of it; from one on, its breath is left.
func idioms() []string {
	out := []string{
		"hang on to", "hold on to", "hang onto", "hold onto", "that's a big one", "that's a big girl", "that's a big boy", "that's a little one", "that's a nice one", "that's a good one", "a good one", "a big one this", "what a big one", "here's a big one",
		"do the next one", "get the next one", "the next one's mine", "a new bag", "another bag", "a clean bag", "a fresh bag", "get a bag", "grab a bag", "a spare bag", "where's the bag",
		"where's the head", "put the kettle", "stop wriggling", "keep still", "hold still", "stay still", "hold tight", "sit still", "still little one", "come on little one", "hello little one", "poor little one", "easy little one", "good little one",
		"on the back foot", "get your head", "use your head", "lost my head", "nose to the", "chin up", "neck of the woods", "eyes peeled", "eyes open for", "an eye on", "an eye out", "in the eye", "all ears", "all eyes", "tongue tied", "cheek of", "back of the ute", "back of the truck", "behind your back", "back to camp", "back to the ute", "back at camp", "back when", "back soon", "back later", "straight back to", "on the way back", "head back", "way back", "half way back",
	}
	for _, while := range []string{"sec", "second", "minute", "moment", "mo", "tick", "jiffy", "bit", "while", "flash", "hurry", "few"} {
		out = append(out, "back in a "+while, "be back in a "+while)
	}
	for _, n := range []string{"two", "five", "ten", "fifteen", "twenty", "half an hour", "an hour"} {
		out = append(out, "back in "+n+" minutes", "back in "+n)
	}
	for _, so := range []string{"cold", "hot", "hell", "wind", "thing", "rain", "freezing", "mozzies", "flies", "ants", "good", "early", "late", "far", "heavy", "hard", "torch", "radio", "mud", "awful", "brilliant", "beautiful", "stuck", "dark", "wet", "miles", "long way"} {
		out = append(out, "bloody "+so)
	}
	for _, who := range []string{"she's", "he's", "she is", "he is", "she keeps", "he keeps", "she's still", "he's still"} {
		for _, does := range []string{"wriggling", "moving", "having a go", "warm", "a handful", "a good girl", "a good boy", "a big one", "a big girl", "a big boy", "a little one"} {
			if does != "warm" {
				out = append(out, who+" "+does)
			}
		}
	}
	return out
}
