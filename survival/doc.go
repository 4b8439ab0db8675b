// Package survival estimates whether marked animals last, from when they were
// caught again.
//
// It takes plain slices and knows nothing of notebooks or screens. It always
// computes or says not estimable; whether a figure is too thin to be quoted is
// decided by whoever asks. Survival is apparent: an animal that left for good
// counts as dead.
//
// [Fit] holds the Cormack–Jolly–Seber model (Cormack 1964, Biometrika
// 51:429–438; Jolly 1965, Biometrika 52:225–247; Seber 1965, Biometrika
// 52:249–259; Lebreton, Burnham, Clobert & Anderson 1992, Ecological Monographs
// 62:67–118) and its kin in one likelihood over hidden states: several states
// (Arnason 1973, Researches on Population Ecology 15:1–8; Schwarz, Schweigert &
// Arnason 1993, Biometrics 49:177–193), the robust design of [Robust], and, by
// [Population], entry, growth and seniority. [Samples.JollySeber] has the closed
// forms, [Tests] the goodness of fit; simulations.md says how well it all does
// where the truth is known.
package survival
