// Package server serves one programme, and shows two faces.
//
// To browsers on the same machine it serves the pages. It refuses whatever
// could come from elsewhere: another address, another host name, a proxy,
// another site's form. A browser is let in by a one-time link that the program
// prints.
//
// To the network, where it is opened at all, it speaks TLS only. Devices of the
// programme exchange lines, tell where they are in the round, and are let in,
// each question signed by the device's key; these addresses alone answer other
// origins, and never with a cookie. A browser sees the program for phones and
// how to trust this machine; pages only after a one-time link.
//
// What must hold: no page, and no line, for whoever lacks the session or an
// admitted device's key; no write in a page that another origin started; a
// mistake of ours ends one answer and not the process.
package server
