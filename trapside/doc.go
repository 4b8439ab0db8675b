// Package trapside is the screens for the scribe: setting traps at dusk, the
// round at dawn, and the bench, where one animal is written down while it is
// in the hand.
//
// What must hold:
//
//   - a word typed at the bench is on disk before it is shown as written; it
//     stays among the capture's steps whatever is done to it afterwards;
//   - a draft goes only after its lines are kept;
//   - a round does not end while a trap that was set has not been seen;
//   - a phrase is kept byte for byte, with all that it gave, in one write; a value
//     under question is among the steps and not filled in.
//
// The call line: a phrase is read by package call in the scene that given.go
// makes of the card; heard.go has the table of what goes where; doubt.go keeps
// what is asked and answered; echo.go shows what became of each word.
//
// A draft's id is its capture's id, minted by the trap check. A draft is the
// fold of its steps ([Fold]), which is pure; flags are computed anew after
// every step. The night comes from the round that was opened, never from the
// device's clock.
package trapside
