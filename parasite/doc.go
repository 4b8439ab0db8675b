// Package parasite tells how parasites are shared out among animals: the
// median load and the negative binomial distribution, from counts of which some
// are known only as classes.
//
// It takes plain slices and knows nothing of notebooks or body parts. It always
// computes or says not estimable; whether there are enough animals to be quoted
// is decided by whoever asks. How many animals carry any is a share: see package
// proportion.
package parasite
