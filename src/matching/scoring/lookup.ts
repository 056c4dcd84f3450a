/** Tables that are only looked into, and small ones laid over them without copying. Pure. */

export type Lookup<K, V> = { get(key: K): V | undefined; keys(): Iterable<K> };
type Layered<K, V> = Lookup<K, V> & { below?: Lookup<K, V>; top?: ReadonlyMap<K, V> };

/** The table with some keys anew; the one below stays as it is. Layers are joined, so a look takes two steps at most. */
export function over<K, V>(table: Layered<K, V>, top: ReadonlyMap<K, V>): Lookup<K, V> {
  const { below = table } = table;
  const joined = new Map([...(table.top ?? []), ...top]);
  const layered: Layered<K, V> = {
    below,
    top: joined,
    get: (k) => joined.get(k) ?? below.get(k),
    keys: () => new Set([...below.keys(), ...joined.keys()]),
  };
  return layered;
}
