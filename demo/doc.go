// Package demo grows an invented programme from a seed: four years of trips
// to three ridges, twenty animals whose stories are told by hand ([Stories])
// and some hundreds that are born, grow, are trapped or not, and die by
// chance. No such place, people, animals or approval exist.
//
// The last trip stops half done: its traps are set for the last night and
// nothing is seen, so that a visitor finds something to do at once. Take
// yesterday's evening for the last one, and the round at hand is today's.
//
// The lines go through the ordinary door with the clock set to the moment, so
// the notebook is like any other. Who really was who stays outside it, in a
// [Truth] that no part of the program reads: it is there to hold answers
// against.
//
// Sizes follow Janoschek's curve, a family that the program does not fit
// itself, so that a fit to these animals is no circle. The crew err as crews
// do: each reading is off by chance, JT reads heads long, CK now and then
// reads a pes with its claw, numbers are misread, chips are lost.
package demo

import (
	_ "embed"

	"dawnround/protocol"
)

// Text is the invented programme's protocol, as its crew wrote it.
//
//go:embed protocol.yaml
var Text []byte

// Protocol reads [Text].
func Protocol() (*protocol.Protocol, error) { return protocol.Parse("demo/protocol.yaml", Text) }
