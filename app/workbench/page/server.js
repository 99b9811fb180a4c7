/* The way to the program: requests with the sitting's token, and its events, read as a stream with reconnection. */

/** An answer that is not what was asked for; `body` is what the program says about it. */
export class Refusal extends Error {
    /**
     * @param {number} status 0 when the program could not be reached
     * @param {{error?: string, faults?: import('./types.js').Fault[], conflict?: import('./types.js').ConflictPlace[], theirs?: string}} body
     */
    constructor(status, body) {
        super(body.error ?? `the program answered ${status}`);
        this.status = status;
        this.body = body;
    }
}

/**
 * @typedef {object} Server
 * @property {(path: string) => Promise<any>} get JSON
 * @property {(path: string, body: unknown) => Promise<any>} post JSON
 * @property {(path: string) => Promise<string>} text
 * @property {(path: string) => Promise<Blob>} blob
 * @property {(told: (event: string, data: any) => void, is_there: (there: boolean) => void) => () => void} listen
 */

/** How long after a lost connection the program is asked again, ms: the last one for ever. */
const RETRIES = [250, 500, 1000, 2000];

/**
 * @param {string} token
 * @returns {Server}
 */
export function connect(token) {
    const header = { 'X-Loomwall-Sitting': token };

    /**
     * @param {string} path
     * @param {RequestInit} [options]
     */
    async function ask(path, options = {}) {
        let answer;
        try {
            answer = await fetch(path, { ...options, headers: { ...header, ...options.headers }, cache: 'no-store' });
        } catch {
            throw new Refusal(0, { error: 'the program does not answer; start it again with `loomwall open`' });
        }
        if (!answer.ok) throw new Refusal(answer.status, await answer.json().catch(() => ({})));
        return answer;
    }

    return {
        get: async (path) => (await ask(path)).json(),
        text: async (path) => (await ask(path)).text(),
        blob: async (path) => (await ask(path)).blob(),
        post: async (path, body) => {
            const json = { method: 'POST', body: JSON.stringify(body), headers: { 'Content-Type': 'application/json' } };
            return (await ask(path, json)).json();
        },
        listen: (told, is_there) => listen(ask, told, is_there),
    };
}

/**
 * Reads the events of the program until told to stop; connects again when the stream ends.
 * @param {(path: string, options?: RequestInit) => Promise<Response>} ask
 * @param {(event: string, data: any) => void} told
 * @param {(there: boolean) => void} is_there
 */
function listen(ask, told, is_there) {
    const stop = new AbortController();
    (async () => {
        for (let failures = 0; !stop.signal.aborted; failures++) {
            try {
                const answer = await ask('/api/events', { signal: stop.signal });
                is_there(true);
                failures = -1;
                await readEvents(answer, told);
            } catch {
                // It is asked again below.
            }
            if (stop.signal.aborted) return;
            is_there(false);
            const wait = RETRIES[Math.min(Math.max(failures, 0), RETRIES.length - 1)];
            await new Promise((resolve) => setTimeout(resolve, wait));
        }
    })();
    return () => stop.abort();
}

/**
 * @param {Response} answer
 * @param {(event: string, data: any) => void} told
 */
async function readEvents(answer, told) {
    if (!answer.body) return;
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = '';
    for (;;) {
        const { value, done } = await reader.read();
        if (done) return;
        const blocks = (rest + value).split('\n\n');
        rest = blocks.pop() ?? '';
        for (const block of blocks) tellEvent(block, told);
    }
}

/**
 * @param {string} block the lines of one event
 * @param {(event: string, data: any) => void} told
 */
function tellEvent(block, told) {
    let event = 'message';
    let data = '';
    for (const line of block.split('\n')) {
        if (line.startsWith('event:')) event = line.slice(6).trim();
        if (line.startsWith('data:')) data += line.slice(5).trim();
    }
    if (data) told(event, JSON.parse(data));
}
