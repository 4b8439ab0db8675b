// Package abundance estimates how many animals there are from nights of live
// trapping during which the population is taken to be closed: no births,
// deaths or moves.
//
// It takes plain slices and knows nothing of notebooks or screens. It always
// computes or says not estimable; whether a figure is too thin to be quoted is
// decided by whoever asks. N is the number of animals alive and exposed to the
// traps while they were set.
//
// [Fit] holds the closed models (Otis, Burnham, White & Anderson 1978, Wildlife
// Monographs 62; Huggins 1989, Biometrika 76:133–140; Pledger 2000, Biometrics
// 56:434–442) in one likelihood; the other files are the handbook estimators.
package abundance
