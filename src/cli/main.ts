/** The prompt: `fairpeg COMMAND …`. */

/** Reads its own options and resolves to the exit code. A thrown error is one sentence for the person. */
export type Command = (args: readonly string[]) => Promise<number>;

/** Loaded when asked for: a check needs no server. */
const commands: Readonly<Record<string, () => Promise<Command>>> = {
  serve: async () => (await import('../server/main.ts')).serve,
};

const [name = '', ...args] = process.argv.slice(2);
const command = commands[name];
if (command) {
  try {
    process.exitCode = await (await command())(args);
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
    process.exitCode = 2;
  }
} else {
  process.stderr.write(`fairpeg knows: ${Object.keys(commands).join(', ')}.\n`);
  process.exitCode = 2;
}
