// Package density estimates how many animals live on a hectare, from where
// marked animals were caught: spatial capture–recapture by maximum likelihood
// (Efford 2004, Oikos 106:598–610; Borchers & Efford 2008, Biometrics
// 64:377–385; Royle & Young 2008, Ecology 89:2281–2289).
//
// Every animal is taken to have a centre of activity, which lies anywhere in
// the state space and stays where it is during the trip; the farther a trap is
// from it, the less often that trap catches the animal. The chance of what was
// seen is summed over all the places where the centre may lie.
//
// The package takes plain slices and knows nothing of notebooks or screens.
// Distances are metres, areas hectares. It always computes or says not
// estimable; whether a figure is too thin to be quoted is decided by whoever
// asks. N is the number of animals whose centres lie in the state space.
// simulations.md says how well it does where the truth is known, rodents.md what
// it says of a real table.
package density
