// Package camp is the certificate authority of a camp: it lets phones speak
// TLS with a laptop on a hotspot without internet, where nobody else's
// certificate can be had.
//
// A phone that accepts the authority accepts it for this only: its certificate
// is constrained (RFC 5280, section 4.2.1.10) to names under .local (RFC 6762)
// and to private addresses (RFC 1918, RFC 3927, RFC 4193, RFC 4291), critically,
// so that it vouches for no web site. Certificates of the laptop last a week and
// are made anew in time. The authority's key is readable by its owner only.
//
// What it does not do: whoever takes the laptop has the key, and can stand in
// for the laptop towards phones that accepted it, on any local network. Then
// remove the authority from the phones, delete the folder and begin another.
package camp

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

const (
	authorityLasts = 2 * 365 * 24 * time.Hour
	leafLasts      = 7 * 24 * time.Hour
	early          = 24 * time.Hour // clocks in the field are wrong
	file           = "camp-authority.pem"
)

// private are the addresses that the authority may vouch for.
var private = networks("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128")

func networks(texts ...string) []*net.IPNet {
	var out []*net.IPNet
	for _, text := range texts {
		_, n, err := net.ParseCIDR(text)
		if err != nil {
			panic(err) // ours
		}
		out = append(out, n)
	}
	return out
}

// Private reports an address that the authority may vouch for.
func Private(ip net.IP) bool {
	for _, n := range private {
		if n.Contains(ip) {
			return true
		}
	}
	return false
}

// Authority is a camp's certificate authority. It may be used from several
// goroutines.
type Authority struct {
	certificate *x509.Certificate
	key         *ecdsa.PrivateKey

	mu    sync.Mutex // over all below
	leaf  *tls.Certificate
	names []string // of the leaf
}

// Open reads the authority of a folder, or begins one there. One that has come
// to its end is refused, since phones must accept the next one by hand.
func Open(folder, name string, now time.Time) (*Authority, error) {
	path := filepath.Join(folder, file)
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return begin(path, name, now)
	}
	if err != nil {
		return nil, err
	}
	a, err := read(text)
	if err != nil {
		return nil, fmt.Errorf("%s: %w; move it away, and another authority is begun, which phones accept anew", path, err)
	}
	if now.After(a.certificate.NotAfter) {
		return nil, fmt.Errorf("%s: this authority ended on %s; move it away, and another is begun, which phones accept anew", path, a.certificate.NotAfter.Format("2 January 2006"))
	}
	return a, nil
}

// begin makes an authority and keeps it, whole or not at all.
func begin(path, name string, now time.Time) (*Authority, error) {
	a, err := newAuthority(name, now)
	if err != nil {
		return nil, err
	}
	text, err := a.secretPEM()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	temp, err := os.CreateTemp(filepath.Dir(path), ".new-*") // mode 0600
	if err != nil {
		return nil, err
	}
	defer os.Remove(temp.Name()) // nothing is left to remove once renamed
	_, err = temp.Write(text)
	if err := errors.Join(err, temp.Sync(), temp.Close()); err != nil {
		return nil, err
	}
	return a, os.Rename(temp.Name(), path)
}

func newAuthority(name string, now time.Time) (*Authority, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := serialNumber()
	if err != nil {
		return nil, err
	}
	template := &x509.Certificate{
		SerialNumber:                serial,
		Subject:                     pkix.Name{CommonName: "Dawnround camp, " + name, Organization: []string{"local devices only"}},
		NotBefore:                   now.Add(-early),
		NotAfter:                    now.Add(authorityLasts),
		IsCA:                        true,
		BasicConstraintsValid:       true,
		MaxPathLenZero:              true,
		KeyUsage:                    x509.KeyUsageCertSign,
		ExtKeyUsage:                 []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         []string{"local"},
		PermittedIPRanges:           private,
		PermittedEmailAddresses:     []string{"invalid"}, // no mail, no addresses of other kinds
		PermittedURIDomains:         []string{"invalid"},
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		return nil, err
	}
	certificate, err := x509.ParseCertificate(der)
	return &Authority{certificate: certificate, key: key}, err
}

func serialNumber() (*big.Int, error) {
	return rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
}

// secretPEM is certificate and key as they lie in the folder.
func (a *Authority) secretPEM() ([]byte, error) {
	key, err := x509.MarshalPKCS8PrivateKey(a.key)
	if err != nil {
		return nil, err
	}
	return append(a.PEM(), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: key})...), nil
}

func read(text []byte) (*Authority, error) {
	first, rest := pem.Decode(text)
	if first == nil {
		return nil, errors.New("not an authority's certificate")
	}
	second, _ := pem.Decode(rest)
	if second == nil {
		return nil, errors.New("the authority's key is missing")
	}
	certificate, err := x509.ParseCertificate(first.Bytes)
	if err != nil {
		return nil, err
	}
	key, err := x509.ParsePKCS8PrivateKey(second.Bytes)
	if err != nil {
		return nil, err
	}
	own, ok := key.(*ecdsa.PrivateKey)
	if !ok || !own.PublicKey.Equal(certificate.PublicKey) {
		return nil, errors.New("certificate and key do not belong together")
	}
	return &Authority{certificate: certificate, key: own}, nil
}

// PEM is the certificate that phones accept; no key is in it.
func (a *Authority) PEM() []byte {
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.certificate.Raw})
}

// DER is the same, as phones take it.
func (a *Authority) DER() []byte { return bytes.Clone(a.certificate.Raw) }

// Name is what phones list it under.
func (a *Authority) Name() string { return a.certificate.Subject.CommonName }

// Until is when it ends.
func (a *Authority) Until() time.Time { return a.certificate.NotAfter }

// Fingerprint is the SHA-256 of the certificate, in pairs, as phones show it.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.certificate.Raw)
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, " ")
}

// Leaf makes a certificate for names under .local and private addresses; others
// are refused, since no phone would take them.
func (a *Authority) Leaf(hosts []string, now time.Time) (tls.Certificate, error) {
	serial, err := serialNumber()
	if err != nil {
		return tls.Certificate{}, err
	}
	template := &x509.Certificate{
		SerialNumber: serial,
		Subject:      pkix.Name{CommonName: "Dawnround"},
		NotBefore:    now.Add(-early),
		NotAfter:     now.Add(leafLasts),
		KeyUsage:     x509.KeyUsageDigitalSignature,
		ExtKeyUsage:  []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	for _, host := range hosts {
		ip := net.ParseIP(host)
		switch {
		case ip != nil && Private(ip):
			template.IPAddresses = append(template.IPAddresses, ip)
		case ip == nil && strings.HasSuffix(strings.ToLower(host), ".local"):
			template.DNSNames = append(template.DNSNames, strings.ToLower(host))
		default:
			return tls.Certificate{}, fmt.Errorf("camp certificate for %q: expected a name ending in .local or a private address; a server on the internet uses its own certificate: --cert and --key", host)
		}
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return tls.Certificate{}, err
	}
	der, err := x509.CreateCertificate(rand.Reader, template, a.certificate, &key.PublicKey, a.key)
	if err != nil {
		return tls.Certificate{}, err
	}
	leaf, err := x509.ParseCertificate(der)
	return tls.Certificate{Certificate: [][]byte{der, a.certificate.Raw}, PrivateKey: key, Leaf: leaf}, err
}

// TLS is how a laptop speaks TLS under its names, which change as networks come
// and go. Its certificate is made anew with them, and when half its time is over.
func (a *Authority) TLS(hosts func() []string, now func() time.Time) *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
		a.mu.Lock()
		defer a.mu.Unlock()
		at, names := now(), hosts()
		if a.leaf == nil || !slices.Equal(names, a.names) || at.Add(leafLasts/2).After(a.leaf.Leaf.NotAfter) {
			leaf, err := a.Leaf(names, at)
			if err != nil {
				return nil, err
			}
			a.leaf, a.names = &leaf, names
		}
		return a.leaf, nil
	}}
}
