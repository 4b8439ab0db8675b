package camp_test

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"dawnround/camp"
)

var now = time.Date(2026, 5, 13, 16, 0, 0, 0, time.UTC)

func open(t *testing.T, folder string) *camp.Authority {
	t.Helper()
	a, err := camp.Open(folder, "test laptop", now)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// A phone that accepted the authority takes the laptop's certificate by each
// of its names, for a week, and again from the next one.
func TestLaptopIsTaken(t *testing.T) {
	t.Parallel()
	a := open(t, t.TempDir())
	accepted := x509.NewCertPool()
	accepted.AppendCertsFromPEM(a.PEM())
	hosts := []string{"camp.local", "192.168.43.7", "fe80::1"}
	leaf, err := a.Leaf(hosts, now)
	if err != nil {
		t.Fatal(err)
	}
	for _, host := range hosts {
		if strings.Contains(host, ":") {
			host = "[" + host + "]"
		}
		if _, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: host, Roots: accepted, CurrentTime: now}); err != nil {
			t.Errorf("%s: %v", host, err)
		}
	}
	if _, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: "camp.local", Roots: accepted, CurrentTime: now.Add(8 * 24 * time.Hour)}); err == nil {
		t.Error("after eight days it is still taken")
	}
	clock := now
	names := hosts
	config := a.TLS(func() []string { return names }, func() time.Time { return clock })
	first, err := config.GetCertificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	clock = now.Add(4 * 24 * time.Hour)
	if second, err := config.GetCertificate(nil); err != nil || second == first {
		t.Errorf("the certificate is not made anew in time: %v", err)
	}
	names = append(names, "10.0.0.4")
	if third, err := config.GetCertificate(nil); err != nil || third.Leaf.VerifyHostname("10.0.0.4") != nil {
		t.Errorf("a new network is not in the certificate: %v", err)
	}
}

// Whatever the authority signs, no phone takes it for a web site or a public
// address: the constraints are in its own certificate (RFC 5280, 4.2.1.10).
func TestVouchesForNoWebSite(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	a := open(t, folder)
	if _, err := a.Leaf([]string{"example.org"}, now); err == nil {
		t.Error("it makes a certificate for a web site")
	}
	if _, err := a.Leaf([]string{"203.0.113.9"}, now); err == nil {
		t.Error("it makes a certificate for a public address")
	}
	text, err := os.ReadFile(filepath.Join(folder, "camp-authority.pem"))
	if err != nil {
		t.Fatal(err)
	}
	public, rest := pem.Decode(text)
	secret, _ := pem.Decode(rest)
	authority, err := x509.ParseCertificate(public.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	key, err := x509.ParsePKCS8PrivateKey(secret.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	accepted := x509.NewCertPool()
	accepted.AddCert(authority)
	for host, template := range map[string]*x509.Certificate{
		"example.org":         {DNSNames: []string{"example.org"}},
		"local.example.org":   {DNSNames: []string{"local.example.org"}},
		"[203.0.113.9]":       {IPAddresses: []net.IP{net.ParseIP("203.0.113.9")}},
		"[2001:db8::9]":       {IPAddresses: []net.IP{net.ParseIP("2001:db8::9")}},
		"camp.local":          {DNSNames: []string{"camp.local", "example.org"}},
		"another.camp.local.": {DNSNames: []string{"camp.local.example.org"}},
	} {
		template.SerialNumber, template.NotBefore, template.NotAfter = big.NewInt(7), now, now.Add(time.Hour)
		own, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		der, err := x509.CreateCertificate(rand.Reader, template, authority, &own.PublicKey, key)
		if err != nil {
			t.Fatal(err)
		}
		leaf, err := x509.ParseCertificate(der)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := leaf.Verify(x509.VerifyOptions{DNSName: host, Roots: accepted, CurrentTime: now}); err == nil {
			t.Errorf("a stolen key vouches for %s", host)
		}
	}
	if !authority.PermittedDNSDomainsCritical || !authority.MaxPathLenZero || !authority.IsCA {
		t.Error("the constraints are not critical, or it may make another authority")
	}
}

// The authority is kept: opened again it is the same, its key is readable by
// its owner only, and the certificate given to phones holds no key.
func TestKept(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "keys")
	a := open(t, folder)
	if again := open(t, folder); again.Fingerprint() != a.Fingerprint() || len(strings.Fields(a.Fingerprint())) != 32 {
		t.Errorf("%s, opened again %s", a.Fingerprint(), again.Fingerprint())
	}
	info, err := os.Stat(filepath.Join(folder, "camp-authority.pem"))
	if err != nil {
		t.Fatal(err)
	}
	if runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("the key's file has mode %o", info.Mode().Perm())
	}
	if bytes.Contains(a.PEM(), []byte("PRIVATE")) {
		t.Error("the key is given away")
	}
	if _, err := camp.Open(folder, "test laptop", now.AddDate(3, 0, 0)); err == nil {
		t.Error("an authority that has ended is used")
	}
	if err := os.WriteFile(filepath.Join(folder, "camp-authority.pem"), a.PEM(), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := camp.Open(folder, "test laptop", now); err == nil || !strings.Contains(err.Error(), "key is missing") {
		t.Errorf("a file without its key: %v", err)
	}
}
