// Package seal turns files into RFC 8188 messages (Encrypted Content-Encoding
// for HTTP, coding aes128gcm) and back, and derives every name, key and salt
// that a sealed gallery needs from the archive's one secret.
//
// In go bytes, an archive secret, a client id and a generation; out come bytes
// of which nothing can be learned without the gallery's key but their length,
// rounded up to 16 KiB. The package refuses to write a message whose length
// was not announced, and to read one that is cut, longer than it says, altered
// in any bit, or whose record size is below 18 or above 65536 bytes.
//
// Only the standard library does cryptography here; golang.org/x/text is used
// for the Unicode normalisation of passphrases. Nothing of this module is
// imported, so that the package can be read, and attacked, on its own.
//
// Key hierarchy, every arrow an HKDF-SHA-256 (RFC 5869) with an info of its own:
//
//	archive secret (32 bytes, .sandarac/secret)
//	├─ gallery name   (client, generation)  public, part of the address
//	├─ gallery key    (client, generation)  the fragment of the link
//	│   └─ file key   (file name)           the RFC 8188 input keying material
//	├─ passphrase     (client, generation)  told to the client, never stored
//	├─ name key       (client, generation)  names of the files in a gallery
//	└─ salt key                             salts of the messages
package seal
