import { type Axis, axisTitle, type Scale, tickText } from "./scale";

/** Sheet is the inner rectangle of a chart in px. */
export interface Sheet {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

interface Props {
  sheet: Sheet;
  x: Scale;
  y: Scale;
  xAxis: Axis;
  yAxis: Axis;
}

/** Axes draws grid, ticks, numbers and titles with units. The title of the upright axis lies level above it, to be read without turning the head. */
export function Axes({ sheet, x, y, xAxis, yAxis }: Props) {
  return (
    <g class="axes">
      {y.ticks.map((v) => (
        <g key={v}>
          <line class="grid" x1={sheet.left} x2={sheet.right} y1={y.at(v)} y2={y.at(v)} />
          <text class="tick" x={sheet.left - 8} y={y.at(v)} dy="0.34em" text-anchor="end">
            {tickText(v, y.step)}
          </text>
        </g>
      ))}
      {x.ticks.map((v) => (
        <g key={v}>
          <line class="grid" x1={x.at(v)} x2={x.at(v)} y1={sheet.top} y2={sheet.bottom} />
          <line class="rule" x1={x.at(v)} x2={x.at(v)} y1={sheet.bottom} y2={sheet.bottom + 5} />
          <text class="tick" x={x.at(v)} y={sheet.bottom + 20} text-anchor="middle">
            {tickText(v, x.step)}
          </text>
        </g>
      ))}
      <path class="rule" d={`M${sheet.left} ${sheet.top}V${sheet.bottom}H${sheet.right}`} />
      <text
        class="axis-title"
        x={sheet.left - 8}
        y={sheet.top - 12}
        text-anchor="start"
        dx={8 - sheet.left + 2}
      >
        {axisTitle(yAxis)}
      </text>
      <text class="axis-title" x={sheet.right} y={sheet.bottom + 40} text-anchor="end">
        {axisTitle(xAxis)}
      </text>
    </g>
  );
}
