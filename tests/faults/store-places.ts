/**
 * Empty stores with their tables, one after the other: copies of one that was made once. On the server that DATABASE_URL names, where
 * it names one; else embedded, in a folder.
 */
import { randomBytes } from 'node:crypto';
import { cpSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { migrate, openServer, openStore } from '@gearhold/store';

export interface StorePlace {
  /** For a process that is to use it. */
  readonly environment: Readonly<Record<string, string>>;
  /** Everything that was in it goes. */
  remove(): Promise<void>;
}

export interface StorePlaces {
  readonly name: string;
  fresh(): Promise<StorePlace>;
  close(): Promise<void>;
}

/** `folder`: where embedded stores may be put. */
export async function storePlaces(folder: string): Promise<StorePlaces> {
  const { DATABASE_URL: databaseUrl } = process.env;
  return databaseUrl ? onServer(databaseUrl) : embedded(folder);
}

async function embedded(folder: string): Promise<StorePlaces> {
  const template = join(folder, 'template');
  const engine = await openStore({ folder: template, nowMs: 0 });
  await engine.close();
  let number = 0;
  return {
    name: 'PGlite in process',
    fresh: async () => {
      const store = join(folder, `store-${number++}`);
      cpSync(template, store, { recursive: true });
      const remove = async () => rmSync(store, { recursive: true, force: true });
      return { environment: { DATABASE_URL: '', GEARHOLD_STORE: store }, remove };
    },
    close: async () => {},
  };
}

async function onServer(url: string): Promise<StorePlaces> {
  const base = `gearhold_faults_${randomBytes(4).toString('hex')}`;
  const at = (name: string) => Object.assign(new URL(url), { pathname: `/${name}` }).href;
  const admin = await openServer(url);
  await admin.query(`create database ${base}`);
  const template = await openServer(at(base));
  await migrate(template, 0);
  await template.close();
  const { version } = await admin.describe();
  let number = 0;
  const drop = (name: string) => admin.query(`drop database if exists ${name} with (force)`);
  return {
    name: `PostgreSQL ${version}`,
    fresh: async () => {
      const name = `${base}_${number++}`;
      await admin.query(`create database ${name} template ${base}`);
      return { environment: { DATABASE_URL: at(name) }, remove: async () => void (await drop(name)) };
    },
    close: async () => {
      await drop(base);
      await admin.close();
    },
  };
}
