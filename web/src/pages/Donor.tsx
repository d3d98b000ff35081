import { Page } from "../parts/Sheet";
import { Empty } from "../parts/states";

export default function Donor() {
  return (
    <Page title="Donor">
      <Empty title="being built" />
    </Page>
  );
}
