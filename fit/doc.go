// Package fit is the likelihood kit the estimators share: links, linear
// predictors from named effects, a maximiser that checks its own ending,
// covariance and rank, intervals, comparison of models, and replication.
//
// It knows nothing of animals. A [Likelihood] gives the logarithm of the
// likelihood and its exact gradient on the link scale, where every parameter
// may take any value; [Likelihood.Maximise] climbs from several starts, then
// differences the exact gradient into the information matrix, whose
// eigenvalues tell which directions the data say nothing about.
//
// Nothing here panics on data and nothing refuses: what cannot be estimated
// is called [NotEstimable], with the parameters concerned named.
package fit
