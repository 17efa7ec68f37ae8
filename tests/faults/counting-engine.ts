/**
 * An engine that tells of every moment at which a process may die around a write: before and after each statement, before and after a
 * transaction begins and is committed. What is behind it is the real one.
 */
import type { Engine, Statements, Transaction } from '@gearhold/store';

export function countingEngine(inner: Engine, moment: () => void): Engine {
  const around = async <Result>(work: () => Promise<Result>): Promise<Result> => {
    moment();
    const result = await work();
    moment();
    return result;
  };
  const statements = (over: Statements): Statements => ({
    query: (sql, parameters) => around(() => over.query(sql, parameters)),
    rows: (sql, parameters) => around(() => over.rows(sql, parameters)),
  });
  return {
    ...statements(inner),
    transaction: (work, options) =>
      around(() =>
        inner.transaction((transaction) => {
          const counted: Transaction = {
            ...statements(transaction),
            script: (sql) => around(() => transaction.script(sql)),
            copyIn: (sql, chunks) => around(() => transaction.copyIn(sql, chunks)),
          };
          return work(counted);
        }, options),
      ),
    tryLock: (name) => around(() => inner.tryLock(name)),
    describe: () => inner.describe(),
    close: () => inner.close(),
  };
}
