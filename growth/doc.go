// Package growth ties size to age: relations from papers, typed by a team or
// fitted from its own animals, evaluated at the bench.
//
// A [Relation] is data. It says which trait under which convention, which form
// with which parameters, which way it was fitted, between which sizes and
// ages it holds, from how many animals, with what residual error, and where it
// comes from. Outside its range it answers [Outside], never a number. A
// relation without a residual error gives a point and a band of measurement
// only, and says so.
//
// From an age come the [Birth] window, from the [PouchLife] of the species the
// windows of pouch exit and weaning, and from those what to expect on the next
// trip. Growth between two visits, where no age is known, is [Gain]'s.
//
// The package is light: it runs in the browser and imports no fitting.
package growth
