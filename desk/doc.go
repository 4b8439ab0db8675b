// Package desk is the screens for the data person and the manager: the
// evening, animals and their lives, captures, lines, trips, and the
// programme's book-keeping.
//
// One screen is one file, one typed struct and one template. The struct is
// made by a pure function of the register, and it answers the browser, whoever
// asks for JSON, and the command line alike, so the three cannot drift apart.
// Every page works without scripts, and whatever a page changes is a new line
// through the programme's one door.
package desk
