// Package answer turns a manager's question into the captures that bear on
// it, and a reply that says what was left out, line by line, with the reason.
//
// Every reply carries the state of the notebook it was made from, so that it
// can be made again. Trips outside the normal protocol are never counted.
package answer
