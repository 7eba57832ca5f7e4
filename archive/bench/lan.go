package bench

import (
	"errors"
	"net"
	"net/netip"
	"sync"
	"time"
)

// errNoNetwork: there is no local network to open the form to.
var errNoNetwork = errors.New("this machine is on no local network (no private address): connect it to your own Wi-Fi, or leave --lan away")

// localAddresses are this machine's addresses on local networks, each with its
// network: private ones (RFC 1918) and those that machines without a router give
// themselves (RFC 3927), of interfaces that are up. Public addresses are not
// among them.
func localAddresses() ([]netip.Prefix, error) {
	interfaces, err := net.Interfaces()
	if err != nil {
		return nil, err
	}
	var out []netip.Prefix
	for _, i := range interfaces {
		if i.Flags&net.FlagUp == 0 || i.Flags&(net.FlagLoopback|net.FlagPointToPoint) != 0 {
			continue
		}
		addrs, err := i.Addrs()
		if err != nil {
			continue
		}
		for _, a := range addrs {
			if p, err := netip.ParsePrefix(a.String()); err == nil && p.Addr().Is4() && (p.Addr().IsPrivate() || p.Addr().IsLinkLocalUnicast()) {
				out = append(out, p)
			}
		}
	}
	if len(out) == 0 {
		return nil, errNoNetwork
	}
	return out, nil
}

// cached looks a list of addresses up at most once in a while.
func cached(look func() ([]netip.Prefix, error)) func() []netip.Prefix {
	var mu sync.Mutex
	var list []netip.Prefix
	var when time.Time
	return func() []netip.Prefix {
		mu.Lock()
		defer mu.Unlock()
		if time.Since(when) > 20*time.Second {
			if fresh, err := look(); err == nil {
				list = fresh
			}
			when = time.Now()
		}
		return list
	}
}
