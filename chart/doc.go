// Package chart draws a figure from plain numbers: a scene of lines,
// rectangles, dots and words, and its SVG.
//
// A scene knows nothing of animals. It carries classes, never colours: the
// page's style sheet says how a class looks in the dark and in the light, and a
// strict content security policy holds, since nothing is styled in place. A
// scene is one image to a screen reader, which hears its title and description;
// whatever can be pressed stands in a table beside it.
package chart
