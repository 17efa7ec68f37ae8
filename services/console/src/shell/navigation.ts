/** Moving within the console without loading the page anew. */
import { useEffect, useState } from 'preact/hooks';
import { type Address, readAddress } from './address.ts';

const moved = 'gearhold-moved';

export function go(address: string): void {
  history.pushState(null, '', address);
  dispatchEvent(new Event(moved));
  scrollTo(0, 0);
}

/** The address now, and again whenever it changes. Links of the console that were clicked plainly are followed here. */
export function useAddress(): Address {
  const [address, setAddress] = useState(() => readAddress(location.pathname, location.search));
  useEffect(() => {
    const read = () => setAddress(readAddress(location.pathname, location.search));
    const follow = (event: MouseEvent) => {
      if (event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.defaultPrevented) return;
      const link = (event.target as Element).closest('a');
      if (link === null || link.origin !== location.origin || link.dataset.inside === undefined) return;
      event.preventDefault();
      go(`${link.pathname}${link.search}`);
    };
    addEventListener('popstate', read);
    addEventListener(moved, read);
    document.addEventListener('click', follow);
    return () => {
      removeEventListener('popstate', read);
      removeEventListener(moved, read);
      document.removeEventListener('click', follow);
    };
  }, []);
  return address;
}
