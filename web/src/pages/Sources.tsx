import { Page } from "../parts/Sheet";
import { Empty } from "../parts/states";

export default function Sources() {
  return (
    <Page title="Sources">
      <Empty title="being built" />
    </Page>
  );
}
