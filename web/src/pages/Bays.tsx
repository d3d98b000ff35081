import { Page } from "../parts/Sheet";
import { Empty } from "../parts/states";

export default function Bays() {
  return (
    <Page title="Bays">
      <Empty title="being built" />
    </Page>
  );
}
