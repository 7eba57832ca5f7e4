package record

// Client is who ordered plates, and the terms of their gallery.
type Client struct {
	Source
	ID, Name, Email string
	Gallery         Gallery
}

// Gallery is what a client's private gallery says and how long it stands.
type Gallery struct {
	Title, Message     string
	Until              Date
	Generation         int
	Downloads          string // "full" or "web"
	PassphraseRequired bool
}

func decodeClient(d *decoder) *Client {
	c := &Client{Gallery: Gallery{Generation: 1, Downloads: "full"}}
	d.id("client", &c.ID)
	d.text("name", &c.Name)
	d.text("email", &c.Email)
	d.group("gallery", func(in *decoder) {
		g := &c.Gallery
		in.text("title", &g.Title)
		in.text("message", &g.Message)
		in.date("until", &g.Until)
		in.whole("generation", &g.Generation, 1, 1_000_000)
		in.oneOf("downloads", &g.Downloads, "full", "web")
		in.truth("passphrase_required", &g.PassphraseRequired)
	})
	return c
}
