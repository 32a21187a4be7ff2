/** The server's log: lines for whoever reads it, or JSON a line for what gathers logs of many machines. */

/** Throws one sentence for a form that is neither. */
export function logTo(
  write: (text: string) => void,
  env: Readonly<Record<string, string | undefined>> = process.env,
  nowMs: () => number = Date.now,
): (line: string) => void {
  const form = env['FAIRPEG_LOG'] ?? 'lines';
  if (form === 'lines') return (line) => write(`${line}\n`);
  if (form !== 'json') throw new Error(`FAIRPEG_LOG is json or lines, not ${form}.`);
  return (message) => {
    // Times as RFC 3339 has them; the process tells the servers of one machine apart.
    const said = { time: new Date(nowMs()).toISOString(), process: process.pid, message };
    write(`${JSON.stringify(said)}\n`);
  };
}
