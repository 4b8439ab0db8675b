package demo

import "dawnround/record"

// TripsUntil is the first night of each trip.
func TripsUntil(last record.Night) []record.Night {
	var firsts []record.Night
	for _, t := range tripsUntil(last) {
		firsts = append(firsts, t.first)
	}
	return firsts
}
