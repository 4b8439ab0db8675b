package demo

import (
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"github.com/google/uuid"
)

// Each use of chance has its own stream of the seed, so that a change to one
// leaves the others as they were.
const (
	lifeStream = iota + 1
	fieldStream
	idStream
	chipStream
)

// chance is one stream of a seed.
type chance struct{ *rand.Rand }

func stream(seed, n uint64) chance { return chance{rand.New(rand.NewPCG(seed, n))} }

// of reports an event of probability p.
func (c chance) of(p float64) bool { return c.Float64() < p }

// between is a whole number from low to high, both included.
func (c chance) between(low, high int) int { return low + c.IntN(high-low+1) }

// about is normal around a mean.
func (c chance) about(mean, sd float64) float64 { return mean + float64(sd*c.NormFloat64()) }

// minutes is a time span between two numbers of minutes, to the second.
func (c chance) minutes(low, high float64) time.Duration {
	seconds := 60 * (low + float64((high-low)*c.Float64()))
	return time.Duration(seconds) * time.Second
}

// one is one of several words.
func (c chance) one(words ...string) string { return words[c.IntN(len(words))] }

// id makes a UUID of version 7 (RFC 9562, section 5.7) for a moment.
func (c chance) id(at time.Time) uuid.UUID {
	var id uuid.UUID
	for i := range 8 {
		id[i+8] = byte(c.Uint32())
	}
	id[6], id[7] = 0x70|byte(c.Uint32())&0x0f, byte(c.Uint32())
	for i := range 6 {
		id[i] = byte(at.UnixMilli() >> (40 - 8*i))
	}
	id[8] = 0x80 | id[8]&0x3f
	return id
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// packet is the chips of the programme. No two are within three slips of each
// other, so that a misread number is nobody's.
type packet struct {
	chance
	out []string
}

// next is a new chip: 999, four zeros and eight digits.
func (p *packet) next() string {
	for {
		text := "9990000" + strconv.Itoa(p.between(10_000_000, 99_999_999))
		if p.apart(text) {
			p.out = append(p.out, text)
			return text
		}
	}
}

func (p *packet) apart(text string) bool {
	for _, o := range p.out {
		differ := 0
		for i := range text {
			if text[i] != o[i] {
				differ++
			}
		}
		if differ < 3 {
			return false
		}
	}
	return true
}

// misread is a number with one of its last eight digits read wrong.
func (p *packet) misread(text string) string {
	b := []byte(text)
	at := 7 + p.IntN(8)
	b[at] = '0' + (b[at]-'0'+byte(p.between(1, 9)))%10
	return string(b)
}
