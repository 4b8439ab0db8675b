// Package condition tells how heavy animals are for their size: the scaled mass
// index.
//
// It takes plain slices, masses in grams and lengths in millimetres, and knows
// nothing of notebooks or species. It always computes or says not estimable;
// whether there are enough animals to be quoted is decided by whoever asks.
package condition
