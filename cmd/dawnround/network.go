package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/camp"
	"dawnround/field"
	"dawnround/notebook"
	"dawnround/server"
)

// campPort is where a camp's devices are answered unless told otherwise; the
// port after it gives the certificate to phones that do not trust the camp yet.
const campPort = 4171

// network is the face that a served programme shows to other devices.
type network struct {
	listen    string
	camp      bool
	cert, key string
	trusted   string // a camp's certificate, for exchanges begun here

	listener, trusting net.Listener
	tls                *tls.Config
}

func (n *network) ask(flags *flag.FlagSet) {
	flags.StringVar(&n.listen, "listen", "", "HOST:PORT for other devices, like :4171; needs --camp, or --cert and --key")
	flags.BoolVar(&n.camp, "camp", false, "answer devices on a hotspot, with a certificate of this laptop's own authority")
	flags.StringVar(&n.cert, "cert", "", "a server's own certificate, PEM")
	flags.StringVar(&n.key, "key", "", "its key, PEM")
	flags.StringVar(&n.trusted, "trust", "", "the certificate of another camp's authority, for exchanging lines with its laptop")
}

func (n *network) check() error {
	own := n.cert != "" && n.key != ""
	switch {
	case (n.cert != "") != (n.key != ""):
		return errUsage{"--cert and --key belong together"}
	case n.camp && own:
		return errUsage{"--camp makes its own certificate; leave out --cert and --key"}
	case n.listen != "" && !n.camp && !own:
		return errUsage{"--listen answers other devices over TLS: add --camp at a camp, or --cert and --key of a server"}
	case own && n.listen == "":
		return errUsage{"--listen is missing: where other devices reach this server, like :443"}
	}
	if n.camp && n.listen == "" {
		n.listen = ":" + strconv.Itoa(campPort)
	}
	return nil
}

// open opens the network's listeners and says in o who is answered there.
func (n *network) open(o *server.Options, now func() time.Time) error {
	if shell, ok := field.Built(); ok {
		o.Field = shell
	}
	if n.listen == "" {
		return nil
	}
	var err error
	if n.listener, err = net.Listen("tcp", n.listen); err != nil {
		return err
	}
	if n.camp {
		err = n.openCamp(o, now)
	} else {
		err = n.openOwn(o)
	}
	if err != nil {
		return errors.Join(err, n.close())
	}
	return nil
}

// openCamp uses this laptop's own authority.
func (n *network) openCamp(o *server.Options, now func() time.Time) error {
	home, err := notebook.DefaultInstallation()
	if err != nil {
		return err
	}
	if o.Camp, err = camp.Open(filepath.Join(string(home), "camp"), deviceName(), now()); err != nil {
		return err
	}
	n.tls = o.Camp.TLS(campHosts, now)
	o.Addresses = func() []string { return addresses(campHosts(), portOf(n.listener)) }
	next := 0
	if port, err := strconv.Atoi(portOf(n.listener)); err == nil && !strings.HasSuffix(n.listen, ":0") {
		next = port + 1
	}
	host, _, err := net.SplitHostPort(n.listen)
	if err != nil {
		return err
	}
	n.trusting, err = net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(next)))
	return err
}

// openOwn uses a server's own certificate, which names the server.
func (n *network) openOwn(o *server.Options) error {
	pair, err := tls.LoadX509KeyPair(n.cert, n.key)
	if err != nil {
		return fmt.Errorf("--cert %s --key %s: %w", n.cert, n.key, err)
	}
	leaf, err := x509.ParseCertificate(pair.Certificate[0])
	if err != nil {
		return err
	}
	hosts := slices.Clone(leaf.DNSNames)
	for _, ip := range leaf.IPAddresses {
		hosts = append(hosts, ip.String())
	}
	if len(hosts) == 0 {
		return fmt.Errorf("--cert %s names no host; devices would not take it", n.cert)
	}
	n.tls = &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{pair}}
	o.Addresses = func() []string { return addresses(hosts, portOf(n.listener)) }
	return nil
}

// serve answers the network until ctx ends; away waits for that.
func (n *network) serve(ctx context.Context, s *server.Server) (away func() error) {
	ended := make(chan error, 2)
	count := 0
	start := func(l net.Listener, h http.Handler) {
		count++
		go func() { ended <- server.Serve(ctx, l, h) }()
	}
	if n.listener != nil {
		start(tls.NewListener(n.listener, n.tls), s.Network())
	}
	if n.trusting != nil {
		start(n.trusting, s.Trusting())
	}
	return func() error {
		var errs []error
		for range count {
			errs = append(errs, <-ended)
		}
		return errors.Join(errs...)
	}
}

func (n *network) close() error {
	var errs []error
	for _, l := range []net.Listener{n.listener, n.trusting} {
		if l != nil {
			errs = append(errs, l.Close())
		}
	}
	return errors.Join(errs...)
}

// trust is where a phone that does not trust the camp gets its certificate.
func (n *network) trust() string {
	if n.trusting == nil {
		return ""
	}
	return "http://" + net.JoinHostPort(campHosts()[0], portOf(n.trusting)) + "/trust"
}

// campHosts are the private addresses and the name of this laptop now, those
// first that phones find most surely and people type most easily.
func campHosts() []string {
	var hosts, long, own []string
	if all, err := net.InterfaceAddrs(); err == nil {
		for _, a := range all {
			n, ok := a.(*net.IPNet)
			switch {
			case !ok || !camp.Private(n.IP) || n.IP.IsLinkLocalUnicast():
			case n.IP.IsLoopback():
				own = append(own, n.IP.String())
			case n.IP.To4() == nil:
				long = append(long, n.IP.String())
			default:
				hosts = append(hosts, n.IP.String())
			}
		}
	}
	name, _, _ := strings.Cut(strings.ToLower(deviceName()), ".")
	if name != "" && !strings.ContainsAny(name, " _") {
		hosts = append(hosts, name+".local")
	}
	return slices.Concat(hosts, long, own)
}

// addresses are hosts as browsers write them.
func addresses(hosts []string, port string) []string {
	var out []string
	for _, h := range hosts {
		if port != "443" {
			h = net.JoinHostPort(h, port)
		} else if strings.Contains(h, ":") {
			h = "[" + h + "]"
		}
		out = append(out, "https://"+h)
	}
	return out
}

func portOf(l net.Listener) string {
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		panic(err) // a listener on TCP has a port
	}
	return port
}
