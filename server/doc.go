// Package server serves the pages of one programme to browsers on the same
// machine, and to nobody else. There are no accounts yet, so it refuses
// whatever could come from elsewhere: another address, another host name, a
// proxy, another site's form. A browser is let in by a one-time link that the
// program prints.
//
// What must hold: no page, and no line, for whoever lacks the session; no
// write that another origin started; a mistake of ours ends one answer and not
// the process.
package server
