package main

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"dawnround/photo"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// keptPhoto is what photo prints as JSON.
type keptPhoto struct {
	Line     uuid.UUID `json:"line"`
	Capture  uuid.UUID `json:"capture,omitzero"`
	Shows    string    `json:"shows"`
	WidthPx  int       `json:"width_px"`
	HeightPx int       `json:"height_px"`
	Bytes    int       `json:"bytes"`
	Was      int       `json:"bytes_before"`
}

// photo keeps a picture from a file: of an animal at a capture, of a sample, or
// of a rack.
func (c *call) photo() error {
	at := c.flags.String("at", "", "the animal: its mark (its last capture is taken), or a capture's id")
	var a record.Attachment
	c.flags.StringVar(&a.Part, "part", "", "part of the body it shows")
	c.flags.StringVar(&a.Side, "side", "", "left or right")
	c.flags.StringVar(&a.Sample, "sample", "", "label of the sample it shows")
	c.flags.StringVar(&a.Rack, "rack", "", "name of the sample rack it shows")
	c.flags.StringVar(&a.Caption, "caption", "", "what is to be seen on it")
	if err := c.parse(1, 1); err != nil {
		return err
	}
	if *at == "" && a.Sample == "" && a.Rack == "" {
		return errUsage{"say what it shows: --at MARK, --sample LABEL or --rack NAME"}
	}
	file, err := c.readFile(c.args[0])
	if err != nil {
		return err
	}
	p, err := photo.Prepare(file, photo.MostPixels)
	if err != nil {
		return fmt.Errorf("%s: %s", c.args[0], strings.TrimPrefix(err.Error(), "photo: "))
	}
	a.WidthPx, a.HeightPx = p.WidthPx, p.HeightPx
	f, err := c.open()
	if err != nil {
		return err
	}
	k, err := c.keepPhoto(f, *at, p, a)
	if err = errors.Join(err, f.close()); err != nil {
		return err
	}
	k.Was = len(file)
	return c.print(k, text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "kept: %s, %d × %d pixels, %d kB (was %d kB); nothing of where and when it was taken is in it\n",
			k.Shows, k.WidthPx, k.HeightPx, k.Bytes/1000, k.Was/1000)
	}))
}

func (c *call) keepPhoto(f *folder, at string, p photo.Picture, a record.Attachment) (keptPhoto, error) {
	var err error
	if at != "" {
		f.View(func(r *register.Register) { a.Of, err = captureOf(r, at) })
	}
	if err != nil {
		return keptPhoto{}, err
	}
	kept, err := f.Attach(c.who, c.now(), p.JPEG, photo.Type, a)
	if err != nil {
		return keptPhoto{}, err
	}
	return keptPhoto{kept.Lines[0], a.Of, a.Subject(), p.WidthPx, p.HeightPx, len(p.JPEG), 0}, nil
}

// captureOf is a capture by its id, or the last one of an animal by its mark.
func captureOf(r *register.Register, asked string) (uuid.UUID, error) {
	if id, err := uuid.Parse(asked); err == nil {
		if _, ok := r.Capture(id); ok {
			return id, nil
		}
	}
	id, err := findAnimal(r, asked)
	if err != nil {
		return uuid.UUID{}, err
	}
	a, ok := r.Animal(id)
	if !ok || len(a.Captures) == 0 {
		return uuid.UUID{}, fmt.Errorf("%s: was never caught itself; name its mother's capture", asked)
	}
	return a.Captures[len(a.Captures)-1].ID(), nil
}
