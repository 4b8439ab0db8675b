package score

import (
	"slices"
	"strings"
)

// addressOf is the one table of names: a field of the case file, and its
// address in a call.Heard.
var addressOf = map[string]string{
	"weight_g":         "weighing/net",
	"weight_bag_g":     "weighing/bag",
	"weight_gross_g":   "weighing/gross",
	"scale_tared":      "weighing/tared",
	"head_mm":          "measures/head",
	"pes_mm":           "measures/pes",
	"tail_mm":          "measures/tail",
	"ear_mm":           "measures/ear",
	"forearm_mm":       "measures/forearm",
	"leg_mm":           "measures/leg",
	"testis_l_mm":      "measures/testis",
	"testis_w_mm":      "measures/testis width",
	"testes_pair_w_mm": "measures/testes pair width",
	"scrotal_w_mm":     "measures/scrotal width",
	"sex":              "sex",
	"status":           "status",
	"age_class":        "stage",
	"trap":             "trap",
	"outcome":          "outcome",
	"species_text":     "species",
	"bycatch":          "bycatch",
	"chip":             "marks/transponder/text",
	"chip_tail":        "marks/transponder/tail",
	"chip_action":      "marks/transponder/act",
	"chip_verified":    "marks/transponder/how",
	"scan_result":      "marks/transponder/scan",
	"chip_site_sealed": "marks/transponder/sealed",
	"ear_tag_left":     "marks/ear tag.left/text",
	"ear_tag_right":    "marks/ear tag.right/text",
	"pouch_state":      "signs/pouch",
	"pouch_checked":    "pouch/checked",
	"pouch_taped":      "pouch/taped",
	"lactating":        "signs/lactating",
	"testes_position":  "signs/testes",
	"condition":        "signs/condition",
	"condition_score":  "condition/score",
	"condition_scale":  "condition/scale",
	"teats_total":      "teats/total",
	"teats_in_use":     "teats/in use",
	"young_count":      "young/count",
	"young_at_foot":    "young/at foot",
	"link_confidence":  "young/link",
	"dehydration":      "dehydration",
	"temp_c":           "weather/temp",
	"weather":          "weather/says",
	"time":             "time",
	"time_out_of_trap": "time/out of trap",
	"handling_min":     "minutes/handling",
	"timer_min":        "minutes/timer",
	"needs_followup":   "follow-up",
	"line":             "line/name",
	"event":            "line/event",
	"count":            "line/count",
	"trap_range":       "line/range",
}

// nameOf is the table read the other way.
var nameOf = func() map[string]string {
	names := map[string]string{}
	for name, at := range addressOf {
		names[at] = name
	}
	return names
}()

// asTopic names the questions that are not about one field.
var asTopic = map[string]string{
	"field": "field", "animal": "animal", "weight basis": "weight_basis", "findings/sign": "parasites.kind",
	"samples/label": "samples.label", "marks": "chip", "ear tag side": "ear_side", "trap": "trap", "status": "status", "sex": "sex",
	"stage": "age_class", "young/count": "young_count",
}

// values maps our words to those of the file, by the last part of the address
// or by all of it.
var values = map[string]map[string]string{
	"status": {"retrap": "retrap_same_session"},
	"sex":    {"not told": "unknown"},
	"stage":  {"pouch young": "pouch_young"},
	"outcome": {
		"sprung": "sprung_empty", "bait taken": "bait_taken_open", "not set": "not_set", "dead": "dead_in_trap",
	},
	"signs/pouch": {"empty": "empty", "undeveloped": "empty", "empty dry": "empty_dry", "empty clean": "empty_moist", "slack": "empty_slack"},
	"kind": {
		"ear biopsy": "ear_biopsy", "blood film": "blood_film", "blood tube": "blood_tube", "young ejected": "young_ejected", "person hurt": "person_bitten",
	},
	"pouch/checked":            {"yes": "true", "no": "false", "by feel": "by_feel"},
	"marks/transponder/act":    {"put": "implanted"},
	"marks/transponder/scan":   {"none found": "none_found"},
	"marks/transponder/how":    {"read twice": "true"},
	"marks/transponder/sealed": {"yes": "true", "no": "false"},
	"where":                    {"in pouch": "in_pouch", "neighbouring trap": "adjacent_trap", "with mother": "with_mother"},
	"line/event":               {"traps set": "traps_set", "traps closed": "traps_closed"},
	"actions":                  {"close line": "close_line", "close traps": "close_traps"},
	"convention":               {"with claw": "with_claw", "without claw": "without_claw"},
}

// ours is a word of the file as we store it.
func ours(at, value string) string {
	table := values[at]
	if table == nil {
		table = values[lastPart(at)]
	}
	if table[value] == value {
		return value
	}
	for our, file := range table {
		if file == value {
			return our
		}
	}
	return value
}

// theirs is a value of ours in the file's words.
func theirs(at, value string) string {
	table := values[at]
	if table == nil {
		table = values[lastPart(at)]
	}
	if file, ok := table[value]; ok {
		return file
	}
	return value
}

func lastPart(at string) string { return at[strings.LastIndex(at, "/")+1:] }

// measured are the measurement and identity fields: one of them that was not
// expected fails a case.
var measured = []string{
	"weight_g", "weight_bag_g", "weight_gross_g", "head_mm", "pes_mm", "pes_side", "pes_convention", "pes_no_claw_mm", "pes_with_claw_mm", "tail_mm", "ear_mm", "forearm_mm", "leg_mm",
	"testis_l_mm", "testis_w_mm", "testes_pair_w_mm", "scrotal_w_mm", "testes", "sex", "status", "age_class", "species_text", "chip", "chip_tail", "chip_action",
	"ear_tag_left", "ear_tag_right", "trap", "traps", "line", "trap_range", "outcome", "exceptions", "young_count", "young", "young_sex", "pouch_state", "teats", "teats_total", "teats_in_use",
	"lactating", "parasites", "samples", "condition_score", "condition_scale", "temp_c", "time", "time_out_of_trap", "handling_min", "timer_min", "incident", "testes_position",
	"count", "event", "not_taken", "findings",
}

func isMeasured(name string) bool { return slices.Contains(measured, name) }
