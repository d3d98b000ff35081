import { Page } from "../parts/Sheet";
import { Empty } from "../parts/states";

export default function Drive() {
  return (
    <Page title="Drive">
      <Empty title="being built" />
    </Page>
  );
}
