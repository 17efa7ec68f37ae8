#!/usr/bin/env node
process.stdout.write(`${process.version}\n`);
