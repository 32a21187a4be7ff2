/** How far a command is: a terminal's line is written over; a log gets a line each tenth. */
export function tellProgress(
  says: (done: number, total: number) => string,
): (done: number, total: number) => void {
  const { isTTY } = process.stderr;
  let said = -1;
  return (done, total) => {
    const tenth = Math.floor((10 * done) / total);
    if (!isTTY && tenth === said) return;
    said = tenth;
    process.stderr.write(`${isTTY ? '\r' : ''}${says(done, total)}${isTTY && done < total ? '' : '\n'}`);
  };
}
