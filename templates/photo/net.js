// How pins reach the server. Each promise gives {status, body}; it is rejected when there is no connection.

const TIMEOUT = 20000;

async function send(url, options) {
  const answer = await fetch(url, { ...options, signal: AbortSignal.timeout(TIMEOUT), headers: { Accept: 'application/json', 'Content-Type': 'application/json' } });
  const json = answer.headers.get('Content-Type')?.includes('json');
  return { status: answer.status, body: json ? await answer.json() : null };
}

/** transport sends pins to base, "/api/surveys/…/pins/". */
export const transport = (base) => ({
  put: (pin, restore) => send(`${base}${pin.id}${restore ? '?restore=1' : ''}`, { method: 'PUT', body: JSON.stringify(pin) }),
  remove: (pin) => send(`${base}${pin.id}?version=${pin.version}`, { method: 'DELETE' }),
});

/** page fetches a page of this site as a document. */
export async function page(url) {
  const answer = await fetch(url, { signal: AbortSignal.timeout(TIMEOUT) });
  if (!answer.ok) throw new Error(`status ${answer.status}`);
  return new DOMParser().parseFromString(await answer.text(), 'text/html');
}
