// Package exchange takes tables in and gives tables out.
//
// A table comes in through a mapping: a short YAML file in plain words that
// says which column is what. Every row ends in exactly one of four ways: it is
// entered, entered and flagged, set aside with the reason (to be corrected and
// imported again), or already there. The ids of an imported row follow from the
// programme, the source's name and the row's key, so the same file twice adds
// nothing, and two laptops that import it apart make one capture when they
// meet. A row that changed since becomes corrections of exactly the fields that
// changed; what a person corrected meanwhile is never undone.
//
// A table goes out with a dictionary that says what each column holds, and
// with places made coarse unless the exact ones are asked for.
package exchange
