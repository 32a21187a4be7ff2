/** A line to a stream. A reader that went away (`| head`) is no fault of the command. */
export function print(stream: NodeJS.WriteStream, text: string): void {
  stream.write(`${text}\n`);
}
