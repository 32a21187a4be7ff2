/** `fairpeg COMMAND …`: finds the command and hands it its arguments. Each command loads only what it needs. */
import { print, sentence } from './print.ts';

interface Command {
  /** Resolves to the exit code. */
  run(args: readonly string[]): Promise<number>;
}

const commands: Record<string, { readonly about: string; load(): Promise<Command> }> = {
  check: { about: 'measure a shot and say what is out of tolerance', load: () => import('./check.ts') },
  fixlist: { about: 'what is to be mended, in working order, as a file', load: () => import('./fixlist.ts') },
  reweight: {
    about: 'the line of finished drawings, thicker or thinner, written out',
    load: () => import('./reweight.ts'),
  },
  ready: {
    about: 'whether a shot may go to ink and paint, and if not, why and where',
    load: () => import('./ready.ts'),
  },
  path: {
    about: 'where a place goes through the drawings, its spacing, and what lies off its arc',
    load: () => import('./path.ts'),
  },
  contact: { about: 'all drawings of a shot as small pictures on pages', load: () => import('./contact.ts') },
  linetest: { about: 'the shot as it moves, as an animated PNG', load: () => import('./linetest.ts') },
  serve: {
    about: 'the studio server: the app, shots and notes for a room of tablets',
    load: () => import('./serve.ts'),
  },
  passes: { about: 'who may come in to the studio server', load: () => import('./passes.ts') },
  move: {
    about: 'what a studio keeps, into a database and back; its pictures to another place',
    load: () => import('./move.ts'),
  },
};

const usage = `fairpeg COMMAND [ARGUMENTS]

${Object.entries(commands)
  .map(([name, { about }]) => `  ${name.padEnd(10)}${about}`)
  .join('\n')}

fairpeg COMMAND --help says more about each.`;

async function main([name, ...args]: readonly string[]): Promise<number> {
  if (name === undefined || name === '--help' || name === 'help') {
    print(name === undefined ? process.stderr : process.stdout, usage);
    return name === undefined ? 2 : 0;
  }
  const command = Object.hasOwn(commands, name) ? commands[name] : undefined;
  if (!command) {
    print(process.stderr, `fairpeg: there is no command “${name}”.\n\n${usage}`);
    return 2;
  }
  return (await command.load()).run(args);
}

try {
  process.exitCode = await main(process.argv.slice(2));
} catch (error) {
  print(process.stderr, `fairpeg: ${sentence(error)}`);
  process.exitCode = 2;
}
