/* The types of the page, checked from its JSDoc. One case a module, so that a fault names it.
 *
 * usage: node run_types.mjs ROOT MODULES */

import { createRequire } from 'node:module';
import { existsSync } from 'node:fs';
import path from 'node:path';

const [, , root, modules] = process.argv;
if (!existsSync(path.join(modules, 'node_modules', 'typescript'))) {
    console.log(`Bail out! the npm packages of the page's tests are not in ${modules}; run tools/setup test`);
    process.exit(1);
}
const ts = createRequire(path.join(path.resolve(modules), 'package.json'))('typescript');

const folder = path.resolve(root, 'tests/page');
const { config } = ts.readConfigFile(path.join(folder, 'tsconfig.json'), ts.sys.readFile);
const { options, fileNames } = ts.parseJsonConfigFileContent(config, ts.sys, folder);
const program = ts.createProgram(fileNames, options);
const faults = ts.getPreEmitDiagnostics(program);
const page = path.resolve(root, 'app/workbench/page');

let failed = 0;
console.log(`1..${fileNames.length + 1}`);
fileNames.forEach((/** @type {string} */ name, /** @type {number} */ i) => {
    const mine = faults.filter((fault) => fault.file?.fileName === name);
    failed += mine.length ? 1 : 0;
    console.log(`${mine.length ? 'not ok' : 'ok'} ${i + 1} - types of ${path.relative(page, name)}`);
    for (const fault of mine) {
        const { line } = fault.file.getLineAndCharacterOfPosition(fault.start);
        console.log(`# ${path.relative(root, name)}:${line + 1}: ${ts.flattenDiagnosticMessageText(fault.messageText, ' ')}`);
    }
});
const others = faults.filter((fault) => !fileNames.includes(fault.file?.fileName));
console.log(`${others.length || fileNames.length < 20 ? 'not ok' : 'ok'} ${fileNames.length + 1} - the modules are found, and their settings hold`);
for (const fault of others) console.log(`# ${ts.flattenDiagnosticMessageText(fault.messageText, ' ')}`);
process.exit(failed || others.length ? 1 : 0);
