// Package proportion gives intervals for a share: how many of so many.
//
// It takes counts and knows nothing of animals. Which interval is used is part
// of what it returns, since two honest ones differ: the exact one covers at
// least 95 % and usually more, Wilson's lies closer to 95 % on average.
package proportion
