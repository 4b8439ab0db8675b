// Package courier carries lines between two notebooks of one programme: over
// any way that takes bytes there and an answer back, or on a memory stick.
//
// # An exchange
//
// One side asks, the other answers; either may be a phone or a laptop. The
// asking side opens: both tell which versions of these rules they speak, who
// they are, and what their clocks show, and the answering side proves that it
// holds the key of its device. Then come small steps. Each carries a parcel
// there and a parcel back. A parcel tells what its sender holds of every
// device, which acknowledges all that came before, and brings some of the lines
// that the other lacks. When neither lacks anything, both hold the same.
//
// Nothing is remembered between steps but the notebooks, so a step may be cut at
// any byte, lost, sent twice or come late: what is not acknowledged is sent again,
// and what came twice is known already. All lines go through the one door.
//
// A device vouches for its own chain at the end of every parcel. Another
// device's chain ends at the head which that device signed last, and can be
// taken only up to there: such lines are laid aside until they are complete. If
// the program stops meanwhile, that chain, and only that, is asked for again.
//
// # A file
//
// The same parcels, one after another: for two devices that never meet.
//
// # What must hold
//
//   - A line is acknowledged only once it lies in the notebook, synced.
//   - A parcel is read whole or not at all.
//   - Nothing is told to a device that the programme has not admitted, nor to one
//     that is shut out.
//   - An answer is signed over its question, so an old answer says nothing.
//
// It is secrecy that is not given here: whoever can read the way can read the
// lines. Over a network the way is TLS.
package courier
