// Package call reads one phrase said at the bench, typed in shorthand or
// dictated, into the fields of a record.
//
// A phrase goes through three steps, and each can be shown to a person:
//
//  1. it is cut into words with their places (token.go);
//  2. a scanner finds, at each word, the longest phrases of a vocabulary that
//     is made once from the programme's protocol: traits, their aliases and
//     sound-alikes, signs, findings, samples, marks, stages, and the words of
//     the trade that every programme shares (lexicon.go, words.go);
//  3. a small state machine goes over the words, holding the field in hand,
//     a pending correction, the young, sample, or parasite row that is open,
//     and puts fields (read.go and one file for each thing that can be said).
//
// What must hold:
//
//   - a number goes nowhere without a field word, a slot of the calling order,
//     or a question it answers;
//   - a value outside its hard range, or of which two readings are possible,
//     is under question, not filled;
//   - a value never changes without a correction that keeps what was;
//   - no word is lost: the words of a Heard, joined, are the phrase.
//
// The package is pure: no clock, no disk, nothing looked up but what Given says.
// How handlers speak is common practice of many crews, without a published
// source.
package call
