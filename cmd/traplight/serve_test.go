package main

import (
	"net"
	"strings"
	"testing"
)

// TestFromOutside: what is printed for a phone is an address that it can reach.
func TestFromOutside(t *testing.T) {
	own := []net.Addr{
		&net.IPNet{IP: net.IPv4(127, 0, 0, 1), Mask: net.CIDRMask(8, 32)}, &net.IPNet{IP: net.IPv4(192, 168, 0, 10), Mask: net.CIDRMask(24, 32)},
		&net.IPNet{IP: net.IPv4(169, 254, 7, 1), Mask: net.CIDRMask(16, 32)}, &net.IPNet{IP: net.ParseIP("fe80::1"), Mask: net.CIDRMask(64, 128)},
	}
	at := func(ip net.IP) net.Addr { return &net.TCPAddr{IP: ip, Port: 8080} }
	for _, c := range []struct {
		a    net.Addr
		own  []net.Addr
		want string
	}{
		{at(net.IPv6unspecified), own, "http://192.168.0.10:8080"},
		{at(net.IPv4zero), own, "http://192.168.0.10:8080"},
		{at(net.IPv4(10, 0, 0, 5)), own, "http://10.0.0.5:8080"},
		{at(net.IPv4zero), nil, "http://0.0.0.0:8080"},
	} {
		if got := strings.Join(fromOutside(c.a, c.own), " "); got != c.want {
			t.Errorf("%v: %s, want %s", c.a, got, c.want)
		}
	}
}
