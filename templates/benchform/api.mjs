// Talking to the server. An answer is {status, body}; no answer at all is a
// thrown Offline.

export class Offline extends Error {}

let token = '';

const paths = { plate: 'api/plates', consent: 'api/consents', change: 'api/changes' };

async function call(path, options = {}) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 20_000);
  try {
    const response = await fetch(path, { ...options, signal: stop.signal, credentials: 'same-origin', cache: 'no-store' });
    const body = await response.json();
    return { status: response.status, body };
  } catch {
    throw new Offline();
  } finally {
    clearTimeout(timer);
  }
}

/** The archive as the form needs to know it; keeps the token that goes with entries. */
export async function fetchState() {
  const answer = await call('api/state');
  if (answer.status === 200) token = answer.body.token;
  return answer;
}

/** Sends one item of the queue; a token that the server no longer knows is fetched anew once. */
export async function send(item) {
  const once = () => {
    const headers = { 'X-Bench-Token': token };
    if (item.kind === 'picture') {
      return call(`api/pictures?id=${item.id}&of=${item.of}`, { method: 'POST', headers: { ...headers, 'Content-Type': 'image/jpeg' }, body: item.blob });
    }
    return call(paths[item.kind], { method: 'POST', headers: { ...headers, 'Content-Type': 'application/json' }, body: JSON.stringify(item.body) });
  };
  let answer = await once();
  if (answer.status === 403 && answer.body.error === 'token') {
    const state = await fetchState();
    if (state.status !== 200) return state;
    answer = await once();
  }
  return answer;
}

export const pair = (code) =>
  call('api/pair', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ code, name: deviceName() }) });

function deviceName() {
  const agent = navigator.userAgent;
  return ['iPhone', 'iPad', 'Android', 'Windows', 'Macintosh', 'Linux'].find((word) => agent.includes(word)) ?? 'device';
}
