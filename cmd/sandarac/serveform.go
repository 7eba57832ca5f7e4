package main

import (
	"context"
	"errors"
	"net"
	"strings"

	"golang.org/x/sync/errgroup"

	"sandarac/archive"
	"sandarac/archive/bench"
)

// formFlags open the form at the bench.
type formFlags struct {
	LAN           bool `name:"lan" help:"Open the bench form, and nothing else, to the local network, for devices that know the code shown here."`
	ForgetDevices bool `help:"Put out the phones and tablets that were paired before."`
}

// serve serves the bench form beside the sites and prints its addresses, and for
// the network the code and what to beware of.
func (c formFlags) serve(ctx context.Context, g *errgroup.Group, e *environment, opt archive.BuildOptions, port int) error {
	if c.ForgetDevices {
		if err := bench.ForgetDevices(opt.Root); err != nil {
			return err
		}
		e.say.note("paired devices are forgotten")
	}
	form := &bench.Form{Root: opt.Root, Port: port, LAN: c.LAN, Skip: []string{opt.Out, opt.Bench}}
	urls, err := form.Listen(ctx)
	var taken *net.OpError
	if errors.As(err, &taken) && port > 0 {
		e.say.note("port %d is taken; the form is at another address than usual, and what devices keep under the usual one waits until it is there again", port)
		form = &bench.Form{Root: opt.Root, LAN: c.LAN, Skip: form.Skip}
		urls, err = form.Listen(ctx)
	}
	if err != nil {
		if c.LAN {
			return err
		}
		e.say.fail(err)
		e.say.note("the sites are served without the bench form")
		return nil
	}
	e.say.print("bench form  %s", urls[0])
	if c.LAN {
		if err := c.invite(e, form, urls[1:]); err != nil {
			return err
		}
	}
	g.Go(func() error { return form.Serve(ctx) })
	return nil
}

// invite shows how a phone or tablet gets in.
func (c formFlags) invite(e *environment, form *bench.Form, urls []string) error {
	for _, url := range urls {
		e.say.print("            %s  for devices on this network", url)
	}
	e.say.print("\nPairing code  %s   (or let the device's camera read this)\n", form.Pairing.Shown())
	code, err := bench.TerminalQR(urls[0] + "#pair=" + form.Pairing.Shown())
	if err != nil {
		return err
	}
	for line := range strings.SplitSeq(strings.TrimSuffix(code, "\n"), "\n") {
		e.say.print("%s", line)
	}
	e.say.print("\n%s", e.say.wrap("There is no encryption (no TLS) between this machine and the devices. Anybody on the same network could read along: names, consents, pictures. Use your own Wi-Fi with a password, not a guest's or a café's. A device that is paired stays paired for thirty days; --forget-devices ends that.", 0, 0))
	return nil
}
