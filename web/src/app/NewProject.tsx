// A new project from a form: no file is touched by hand.

import { useState } from "preact/hooks";
import type { FileReply, Parts, Problem } from "../api/types";
import { Field } from "../parts/Field";
import { choices } from "../parts/fileTree";
import { Page, Sheet } from "../parts/Sheet";
import { SuggestionList } from "../parts/SuggestionList";
import { Loaded } from "../parts/states";
import { hasSuggestions } from "../parts/suggest";
import { accepts } from "../parts/ValueField";
import { useResource } from "../state/resource";
import { navigate } from "../state/route";
import { create } from "../state/store";
import { ledgerPath, NewLedger } from "./NewLedger";
import {
  type Answers,
  answersOf,
  fieldAt,
  groups,
  opsOf,
  type Question,
  type QuestionGroup,
} from "./newProject";
import { ProblemList } from "./Problems";
import "./NewProject.css";

const none = [] as const;
const lotKinds: Record<string, string> = {
  cell: "cells",
  module: "module",
  "openable module": "openable module",
};

interface QuestionProps {
  question: Question;
  file: FileReply;
  text: string;
  problem: Problem | undefined;
  onText: (text: string) => void;
}

function QuestionRow({ question: q, file, text, problem, onText }: QuestionProps) {
  const field = fieldAt(file, q.path);
  const oneOf = field ? choices(field) : undefined;
  const list = hasSuggestions(q.path) ? `offers ${q.path}` : undefined;
  return (
    <div class="question">
      <span class="question-name" aria-hidden="true">
        {q.name}
        {q.open ? <span class="leaf-needed"> if known</span> : null}
      </span>
      <Field
        path={q.path}
        text={text}
        label={q.name}
        required={!q.open}
        problem={problem ?? null}
        onText={onText}
        {...(field ? { hint: accepts(field) } : {})}
        {...(oneOf ? { oneOf } : {})}
        {...(list ? { list } : {})}
      />
      {list ? <SuggestionList id={list} path={q.path} /> : null}
      <span class="leaf-doc">{q.doc ?? field?.doc}</span>
    </div>
  );
}

interface GroupProps {
  group: QuestionGroup;
  file: FileReply;
  answers: Answers;
  problems: readonly Problem[];
  onText: (path: string, text: string) => void;
}

function GroupSheet({ group, file, answers, problems, onText }: GroupProps) {
  return (
    <Sheet title={group.title} note={group.note}>
      {group.questions.map((q) => (
        <QuestionRow
          key={q.path}
          question={q}
          file={file}
          text={answers.texts[q.path] ?? ""}
          problem={problems.find((p) => p.path === q.path)}
          onText={(t) => onText(q.path, t)}
        />
      ))}
    </Sheet>
  );
}

interface NameProps {
  answers: Answers;
  problems: readonly Problem[];
  onChange: (part: Partial<Answers>) => void;
}

function NameSheet({ answers, problems, onChange }: NameProps) {
  const problemOf = (path: string) => problems.find((p) => p.path === path) ?? null;
  return (
    <Sheet title="Project" note="what it is called, and what it is paid in">
      <div class="question">
        <span class="question-name" aria-hidden="true">
          title
        </span>
        <Field
          path="title"
          text={answers.title}
          label="title"
          placeholder="what the workshop calls it"
          required
          problem={problemOf("title")}
          onText={(title) => onChange({ title })}
        />
        <span />
      </div>
      <div class="question">
        <span class="question-name" aria-hidden="true">
          currency
        </span>
        <Field
          path="currency"
          text={answers.currency}
          label="currency"
          required
          problem={problemOf("currency")}
          onText={(currency) => onChange({ currency: currency.trim().toUpperCase() })}
        />
        <span class="leaf-doc">of all prices, three letters</span>
      </div>
      <label class="tick-box">
        <input
          type="checkbox"
          checked={answers.real}
          onChange={(e) => onChange({ real: e.currentTarget.checked })}
        />
        All figures below are those of my vehicle, none is left from the example
      </label>
    </Sheet>
  );
}

function Form({ file }: { file: FileReply }) {
  const [answers, setAnswers] = useState(() => answersOf(file));
  const [problems, setProblems] = useState<readonly Problem[]>([]);
  const [fault, setFault] = useState("");
  const [sending, setSending] = useState(false);
  const parts = useResource<Parts>("/api/parts", none);
  const change = (part: Partial<Answers>) => setAnswers((a) => ({ ...a, ...part }));
  /** What is being mended is no longer held against the form. */
  const forget = (mended: (path: string) => boolean) => {
    setProblems((all) => all.filter((p) => !mended(p.path)));
    setFault("");
  };
  const setText = (path: string, text: string) => {
    forget((p) => p === path);
    setAnswers((a) => ({ ...a, texts: { ...a.texts, [path]: text } }));
  };
  const make = async () => {
    const part = parts.data?.parts.find((p) => p.id === answers.texts["sources[0].part"]);
    const lotKind = (part && lotKinds[part.kind]) || answers.lotKind;
    setSending(true);
    const refused = await create(answers.title, opsOf(file, { ...answers, lotKind }));
    setSending(false);
    if (!refused) {
      navigate("/options", true);
      return;
    }
    setProblems(refused.detail?.problems ?? []);
    setFault(refused.message);
  };
  const asked = new Set(["title", "currency", ...groups.flatMap((g) => g.questions.map((q) => q.path))]);
  const elsewhere = problems.filter((p) => !asked.has(p.path) && !ledgerPath.test(p.path));
  return (
    <form
      class="new-project"
      onSubmit={(e) => {
        e.preventDefault();
        void make();
      }}
    >
      <div class="new-columns">
        <NameSheet
          answers={answers}
          problems={problems}
          onChange={(part) => {
            forget((p) => p in part);
            change(part);
          }}
        />
        {groups.map((g) => (
          <GroupSheet
            key={g.title}
            group={g}
            file={file}
            answers={answers}
            problems={problems}
            onText={setText}
          />
        ))}
      </div>
      <NewLedger
        ledger={answers.ledger}
        problems={problems}
        onChange={(ledger) => {
          forget((p) => ledgerPath.test(p));
          change({ ledger });
        }}
      />
      <div class="new-end">
        {fault === "" && problems.length === 0 ? null : (
          <div class="state state-fault" role="alert">
            <p class="state-title">
              {problems.length > 0 ? "Some values cannot be taken as they are." : fault}
            </p>
            {elsewhere.length > 0 ? <ProblemList problems={elsewhere} /> : null}
          </div>
        )}
        <p class="actions">
          <button
            type="submit"
            class="button button-strong"
            disabled={sending || answers.title.trim() === ""}
          >
            Make the project and look for packs
          </button>
          <span class="quiet">
            {answers.title.trim() === "" ? "It needs a title." : "Everything can be changed later."}
          </span>
        </p>
      </div>
    </form>
  );
}

export default function NewProject() {
  const template = useResource<FileReply>("/api/template", none);
  return (
    <Page
      title="New project"
      lead="The figures filled in are an invented example, so that every field shows how it is written. Put your own in their place; any unit will do."
    >
      <Loaded of={template} what="opening the form">
        {(file) => <Form file={file} />}
      </Loaded>
    </Page>
  );
}
