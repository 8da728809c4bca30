using System.Globalization;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>A plan with nothing left out, a line a step.</summary>
internal static class PlanText
{
    public static string Of(RenderPlan plan) => string.Create(
        CultureInfo.InvariantCulture,
        $"{plan.SampleRateHz} Hz, {plan.LengthFrames} frames, {plan.TotalFrames} in all, {plan.BufferCount} planes\n{string.Join('\n', plan.Steps.Select(Of))}");

    private static string Of(PlanStep step, int index)
    {
        var own = step switch
        {
            ReadStep read => $"read {read.Stem} {read.GainDb} dB at {read.StartFrame}{(read.IsSilenced ? " silenced" : "")}",
            NodeStep node => $"{node.Type} {node.Id} own {node.OwnLatencyFrames} group {node.LaneGroup}{(node.IsBypassed ? " bypassed" : "")} "
                + string.Join(' ', node.InputFormats),
            AlignStep align => $"align {align.DelayFrames}",
            DifferenceStep => "difference",
            WriteStep write => $"write {write.Output} {write.Encoding} {write.LengthFrames}",
            _ => "?",
        };
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{index} {step.Name}: {own} <- {string.Join(' ', step.Inputs)}; {step.Channels} ch, late {step.LatencyFrames}, plane {step.FirstBuffer}");
    }
}
