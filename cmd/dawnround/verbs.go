package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"runtime/debug"
	"slices"
	"strings"
	"time"
)

// A verb is one thing the program does.
type verb struct {
	name string
	args string // as shown in its usage
	says string
	do   func(*call) error
}

// verbs in the order of a programme's life.
func verbs() []verb {
	return []verb{
		{"new", "--protocol FILE", "start a programme's notebook in an empty folder", (*call).new},
		{"demo", "", "grow the invented programme and open it in a browser", (*call).demo},
		{"serve", "", "open the notebook's pages to a browser on this machine", (*call).serve},
		{"link", "", "print another link for a browser, while it is served", (*call).link},
		{"pair", "[LINK|ADDRESS CODE]", "let a phone or laptop in, or ask to be let in", (*call).pair},
		{"devices", "[admit|shut-out DEVICE]", "who takes part, and who does no more", (*call).devices},
		{"sync", "[ADDRESS|export FILE|import FILE]", "exchange lines, over the network or by a file", (*call).sync},
		{"import", "FILE --as MAPPING.yaml", "enter a table, row by row", (*call).importTable},
		{"export", "[lines|captures|animals|checks]", "give everything out: the lines, or a table with its dictionary", (*call).export},
		{"photo", "FILE --at MARK", "keep a picture of an animal, a sample or a rack", (*call).photo},
		{"restore", "FILE", "make a notebook from an export or a backup", (*call).restore},
		{"backup", "FILE", "copy the notebook into one verified file, also while it is served", (*call).backup},
		{"verify", "", "read every line and name the first bad one", (*call).verify},
		{"animal", "MARK|TAIL|ID", "the life of one animal", (*call).animal},
		{"trip", "[TRIP]", "the page of one trip; without a name, the trips", (*call).trip},
		{"evening", "[NIGHT]", "what can only be settled tonight, and the day's page", (*call).evening},
		{"answer", "how-many|survival|growth|enough|known-alive|effort", "answer a manager's question", (*call).answer},
		{"condition", "--species SPECIES", "how heavy animals are for their size, trip by trip", (*call).condition},
		{"health", "--species SPECIES", "parasites, findings and wounds", (*call).health},
		{"breeding", "--species SPECIES", "litters, births, losses, and whose young is whose", (*call).breeding},
		{"due", "", "what is to be done by a date, and which pouches to leave closed", (*call).due},
		{"error", "--species SPECIES [--trait TRAIT]", "how exactly things are measured, and who reads long or short", (*call).error},
		{"fit", "abundance|survival|tests TABLE|density", "how many there are, whether they survive, how many a hectare", (*call).fit},
		{"histories", "--species SPECIES", "the plain tables that fit and compare take, from the captures", (*call).histories},
		{"compare", "abundance|survival TABLE --model \"…\"", "fit several models to one table, weigh them, and average what they say", (*call).compare},
		{"age", "SPECIES TRAIT=VALUE…", "how old an animal is by its sizes, and what to expect on the next trip", (*call).age},
		{"growth", "fit TABLE.csv|adopt FILE|show|expect", "a growth curve from repeated measures, adopted, and what it expects", (*call).growth},
		{"call", "\"WORDS\"|-", "read what a handler says into fields, or score a file of cases", (*call).say},
		{"protocol", "check FILE|adopt FILE|show", "check a protocol, adopt it, or show the one in force", (*call).protocol},
		{"version", "", "print the version", (*call).version},
	}
}

// call is one use of the program.
type call struct {
	ctx            context.Context
	stdin          io.Reader
	stdout, stderr io.Writer
	now            func() time.Time

	dir   string // the programme's folder
	who   string // initials of who acts
	json  bool
	csv   bool
	verb  verb
	args  []string // what is left after the flags
	flags *flag.FlagSet
	given []string
}

// errUsage is wrong usage: exit code 2.
type errUsage struct{ says string }

func (e errUsage) Error() string { return e.says }

// hinted is an error with a hint that stands on a line of its own.
type hinted struct {
	error
	hint string
}

func (h hinted) Unwrap() error { return h.error }

// run does one call and gives the exit code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	c := &call{ctx: ctx, stdin: stdin, stdout: stdout, stderr: stderr, now: time.Now}
	defer func() {
		if fault := recover(); fault != nil {
			fmt.Fprintf(stderr, "dawnround: this is our fault: %v\nhint: every line that was acknowledged is kept; please send this report:\n%s", fault, debug.Stack())
			code = 1
		}
	}()
	return c.exit(c.run(args))
}

func (c *call) run(args []string) error {
	global := flag.NewFlagSet("dawnround", flag.ContinueOnError)
	global.SetOutput(io.Discard)
	global.StringVar(&c.dir, "C", ".", "")
	if err := global.Parse(args); errors.Is(err, flag.ErrHelp) {
		return c.help()
	} else if err != nil {
		return errUsage{err.Error()}
	}
	args = global.Args()
	if len(args) == 0 || args[0] == "help" {
		return c.help()
	}
	i := slices.IndexFunc(verbs(), func(v verb) bool { return v.name == args[0] })
	if i < 0 {
		return errUsage{fmt.Sprintf("%q is no verb; dawnround help lists them", args[0])}
	}
	c.verb, c.given = verbs()[i], args[1:]
	c.flags = flag.NewFlagSet(c.verb.name, flag.ContinueOnError)
	c.flags.SetOutput(io.Discard)
	c.flags.BoolVar(&c.json, "json", false, "print JSON")
	c.flags.StringVar(&c.who, "who", "", "initials of who acts; stated, not proven")
	return c.verb.do(c)
}

// table lets the result, a table, be printed as CSV too.
func (c *call) table() { c.flags.BoolVar(&c.csv, "csv", false, "print the table as CSV") }

// parse reads the flags, wherever they stand, and wants so many words beside
// them (at most, when least is smaller).
func (c *call) parse(least, most int) error {
	for rest := c.given; ; {
		if err := c.flags.Parse(rest); errors.Is(err, flag.ErrHelp) {
			return c.usage()
		} else if err != nil {
			return errUsage{fmt.Sprintf("%s: dawnround %s --help lists what there is", strings.Replace(err.Error(), "flag provided but not defined: -", "there is no --", 1), c.verb.name)}
		}
		if rest = c.flags.Args(); len(rest) == 0 {
			break
		}
		c.args, rest = append(c.args, rest[0]), rest[1:]
	}
	switch {
	case c.json && c.csv:
		return errUsage{"--json and --csv cannot both be printed; choose one"}
	case len(c.args) < least:
		return errUsage{fmt.Sprintf("something is missing: dawnround %s %s", c.verb.name, c.verb.args)}
	case len(c.args) > most:
		return errUsage{fmt.Sprintf("%q is one word too many: dawnround %s %s", c.args[most], c.verb.name, c.verb.args)}
	}
	return nil
}

// errHelped ends a call whose help was asked for.
var errHelped = errors.New("help was given")

func (c *call) usage() error {
	fmt.Fprintf(c.stdout, "dawnround [-C DIR] %s\n\n%s\n\n", strings.TrimSpace(c.verb.name+" "+c.verb.args), c.verb.says)
	c.flags.VisitAll(func(f *flag.Flag) {
		fmt.Fprintf(c.stdout, "  --%-12s %s\n", f.Name, f.Usage)
	})
	fmt.Fprint(c.stdout, "\nexit codes: 0 done, 1 the data or the input is at fault, 2 wrong usage\n")
	return errHelped
}

func (c *call) help() error {
	fmt.Fprint(c.stdout, "dawnround is a field notebook for people who trap, mark and release animals.\n\ndawnround [-C DIR] VERB …   (DIR: the programme's folder, the current one unless given)\n\n")
	for _, v := range verbs() {
		fmt.Fprintf(c.stdout, "  %-9s %-32s %s\n", v.name, v.args, v.says)
	}
	fmt.Fprint(c.stdout, "\ndawnround VERB --help says more. Every verb takes --json; tables also take --csv.\n")
	return errHelped
}

// exit tells an error and gives its code.
func (c *call) exit(err error) int {
	if err == nil || errors.Is(err, errHelped) {
		return 0
	}
	name := "dawnround"
	if c.verb.name != "" {
		name += ": " + c.verb.name
	}
	fmt.Fprintf(c.stderr, "%s: %s\n", name, err)
	var h hinted
	if errors.As(err, &h) {
		fmt.Fprintf(c.stderr, "hint: %s\n", h.hint)
	}
	var usage errUsage
	if errors.As(err, &usage) {
		return 2
	}
	return 1
}

// print writes a result: as JSON when asked, else for a person.
func (c *call) print(result any, person func(io.Writer) error) error {
	if !c.json {
		return person(c.stdout)
	}
	e := json.NewEncoder(c.stdout)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(result)
}
