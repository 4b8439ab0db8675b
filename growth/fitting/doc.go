// Package fitting finds growth curves from a programme's own animals, so that
// they can be adopted and evaluated at the bench by package growth.
//
// Where no age is known, growth shows between two captures: [Fabens], [Francis]
// and, with asymptotes that differ between animals, [Approach]. Where ages are
// known, the curves are those of [Known]: von Bertalanffy, Gompertz, logistic
// and Richards, with or without asymptotes of the animals' own.
//
// Each fit is by maximum likelihood and returns a [Result]: coefficients with
// errors, residuals, warnings, and the growth.Relation that can be adopted.
// Samples too small for a model are refused with a [TooThin] that says what
// would be enough.
package fitting
