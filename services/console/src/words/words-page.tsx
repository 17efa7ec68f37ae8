/** The glossary: every word of the console with its meaning here and where it comes from. */

import { glossary } from '@gearhold/look';
import { Scroll } from '../page/scroll.tsx';

export function WordsPage() {
  return (
    <>
      <h1>Words</h1>
      <p class="soft">
        What each word means here. Trade: drivers and shops say so. Standard: the paper that defines it. Plain: an
        everyday word that was given this meaning.
      </p>
      <Scroll label="Words">
        <table>
          <thead>
            <tr>
              <th>Word</th>
              <th>Meaning</th>
              <th>Origin</th>
            </tr>
          </thead>
          <tbody>
            {glossary.map(({ term, meaning, origin, labels }) => (
              <tr key={term}>
                <th scope="row">
                  {term}
                  {labels !== undefined && <span class="soft small"> (also: {labels.join(', ')})</span>}
                </th>
                <td>{meaning.replaceAll('`', '')}</td>
                <td>{origin}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scroll>
    </>
  );
}
