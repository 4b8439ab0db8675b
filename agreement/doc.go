// Package agreement tells how well readings of one thing agree: the technical
// error of measurement, repeatability, and how far the people who read differ.
//
// It takes plain slices and knows nothing of notebooks. It always computes or
// says not estimable; whether there is enough to be quoted is decided by
// whoever asks. A figure has the unit of the readings.
package agreement
