package bench

import (
	"net/http"
	"time"
)

// limits say how long a client may take. One that sends or reads a byte now and
// then would hold a connection for ever.
type limits struct{ header, read, write, idle time.Duration }

var (
	siteLimits = limits{5 * time.Second, 10 * time.Second, 2 * time.Minute, time.Minute}
	// A picture from a phone on a weak network takes its time.
	formLimits = limits{5 * time.Second, 60 * time.Second, 90 * time.Second, time.Minute}
)

func (l limits) server(h http.Handler) *http.Server {
	return &http.Server{
		Handler: h, ReadHeaderTimeout: l.header, ReadTimeout: l.read, WriteTimeout: l.write, IdleTimeout: l.idle,
		MaxHeaderBytes: 16 << 10,
	}
}
