package desk

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"dawnround/answer"
	"dawnround/register"
)

// pagePatience is how long a page waits for a fit.
const pagePatience = 20 * time.Second

// replyDense gathers captures and places; the fit follows when the page is drawn.
func replyDense(r *register.Register, q answer.Which) (Reply, error) {
	if q.Site == "" {
		if sites := r.Sites(); len(sites) > 0 {
			return Reply{State: r.State(), Lede: lede("A density is of one site: choose one below, then ask.")}, nil
		}
	}
	homes := answer.Homes(r, q)
	return Reply{State: homes.State, Source: homes.Source, LeftOut: homes.LeftOut, finish: func(ctx context.Context, a *Reply) { finishDense(ctx, a, homes) }}, nil
}

// finishDense fits, and says what to run where that takes too long for a page.
func finishDense(ctx context.Context, a *Reply, homes answer.Dense) {
	ctx, done := context.WithTimeout(ctx, pagePatience)
	defer done()
	d, err := homes.Estimate(ctx, nil)
	switch {
	case err != nil:
		a.Lede = lede(sentence(err.Error()))
		return
	case d.Stopped:
		a.Lede = lede(fmt.Sprintf("This takes longer than a page waits (%.0f seconds).", pagePatience.Seconds()), "Ask of fewer trips, or in the program: "+a.Repeat)
		return
	}
	a.Lede, a.Assumes, a.Warnings, a.LeftOut = lede(d.Says), d.Assumes, d.Warnings, d.LeftOut
	a.Tables = denseTables(d)
	if d.Refused == "" {
		a.Wide, a.Narrow = d.Picture(wideFigure), d.Picture(narrowFigure)
		a.Caption = "Where centres of activity are expected on the latest trip, generalised to squares: the larger the square, the more per hectare. Exact places stay inside the programme."
	}
}

func denseTables(d answer.Dense) []ReplyTable {
	trips := ReplyTable{Caption: "Trip by trip", Head: []string{"trip", "nights", "traps", "animals", "captures", "at another trap", "per hectare", "95 % interval", "within the margin, expected", "there that trip", "effective area, ha"}}
	for _, t := range d.Trips {
		row := []string{t.Trip, strconv.Itoa(t.Nights), strconv.Itoa(t.Traps), strconv.Itoa(t.Animals), strconv.Itoa(t.Captures), strconv.Itoa(t.Elsewhere), "–", "–", "–", "–", "–"}
		if d.Refused == "" {
			p := t.Population
			row[6], row[7], row[8] = aboutly(t.D.Value), ends(t.D.Lower, t.D.Upper), aboutly(p.Expected.Value)
			row[9], row[10] = aboutly(p.N.Value)+" ("+ends(p.N.Lower, p.N.Upper)+")", aboutly(p.EffectiveHa.Value)
		}
		trips.Rows = append(trips.Rows, row)
	}
	models := ReplyTable{Caption: "Models considered", Head: []string{"chance of being caught", "per hectare, all trips", "σ, m", "95 % interval", "weight"}}
	for _, m := range d.Models {
		models.Rows = append(models.Rows, []string{m.Detection, aboutly(m.D.Value), aboutly(m.Sigma.Value), ends(m.Sigma.Lower, m.Sigma.Upper), fmt.Sprintf("%.2f", m.Weight)})
	}
	var out []ReplyTable
	for _, t := range []ReplyTable{trips, models} {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}
