// Seals and opens messages with the npm package http_ece, for interop_test.go.
// Reads one JSON request per line: {op, key, salt, rs, keyid, pad, body}, all
// bytes in base64; answers one line each: {body} or {error}.
const ece = require('http_ece');
const lines = require('node:readline').createInterface({ input: process.stdin });
lines.on('line', (line) => {
  const q = JSON.parse(line);
  const body = Buffer.from(q.body, 'base64');
  const params = { version: 'aes128gcm', key: Buffer.from(q.key, 'base64') };
  try {
    let out;
    if (q.op === 'open') {
      out = ece.decrypt(body, params);
    } else {
      Object.assign(params, { rs: q.rs, salt: Buffer.from(q.salt, 'base64'), keyid: q.keyid, pad: q.pad });
      out = ece.encrypt(body, params);
    }
    console.log(JSON.stringify({ body: out.toString('base64') }));
  } catch (e) {
    console.log(JSON.stringify({ error: String(e.message) }));
  }
});
