package call

import (
	"strconv"
	"strings"

	"dawnround/record"
)

// dropTotals takes away a count of parasites that only sums up those behind it:
// "six ticks, left armpit two, right armpit four". Where the sum is another, it
// is asked.
func (rd *reading) dropTotals() {
	for n := 1; n < rd.findings; n++ {
		total, kind, placed := rd.rowCount(n)
		if placed || total < 0 {
			continue
		}
		sum, m := 0, n+1
		for ; m <= rd.findings; m++ {
			count, k, placed := rd.rowCount(m)
			if k != kind || !placed || count < 0 {
				break
			}
			sum += count
		}
		switch row := findingRow(n); {
		case m-n < 3:
		case sum == total:
			rd.dropFinding(n)
			n--
		default:
			if f, ok := rd.out.Field(row + "/count"); ok && total > 0 {
				f.Pending, f.Why = true, "not the sum"
				rd.ask(Question{About: f.At, Says: Digits(strconv.Itoa(total)) + " in all, but " + Digits(strconv.Itoa(sum)) + " by place: which?"}, rd.tokenAt(f.From), rd.tokenAt(f.To))
			}
		}
	}
}

func findingRow(n int) string { return "findings/" + strconv.Itoa(n) }

// rowCount is the count of a row of parasites, -1 where it has none, with its
// kind and whether it has a place.
func (rd *reading) rowCount(n int) (count int, kind string, placed bool) {
	row := findingRow(n)
	sign, ok := rd.out.Field(row + "/sign")
	f, counted := rd.out.Field(row + "/count")
	if !ok || !counted || !rd.counted(sign.Value) || f.State != record.Unknown {
		return -1, "", false
	}
	_, part := rd.out.Field(row + "/part")
	_, side := rd.out.Field(row + "/side")
	count, err := strconv.Atoi(f.Value)
	if err != nil {
		return -1, "", false
	}
	return count, sign.Value, part || side
}

// dropFinding takes a row of findings away; those behind it move up.
func (rd *reading) dropFinding(n int) {
	moved := func(at string) string {
		rest, ok := strings.CutPrefix(at, "findings/")
		number, part, cut := strings.Cut(rest, "/")
		k, err := strconv.Atoi(number)
		if !ok || !cut || err != nil || k <= n {
			return at
		}
		return findingRow(k-1) + "/" + part
	}
	var kept []Field
	for _, f := range rd.out.Fields {
		if strings.HasPrefix(f.At, findingRow(n)+"/") {
			continue
		}
		f.At = moved(f.At)
		kept = append(kept, f)
	}
	rd.out.Fields = kept
	for i := range rd.toks {
		rd.toks[i].field = moved(rd.toks[i].field)
	}
	for i := range rd.out.Corrected {
		rd.out.Corrected[i].At = moved(rd.out.Corrected[i].At)
	}
	for i := range rd.out.Questions {
		rd.out.Questions[i].About = moved(rd.out.Questions[i].About)
	}
	rd.findings--
}
