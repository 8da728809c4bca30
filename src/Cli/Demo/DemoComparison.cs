using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes.Measures;

namespace RenderGraph.Cli.Demo;

/// <summary>What the clean-up changed, measured: the graph is rendered once more as it is and once with everything bypassed, into memory.</summary>
/// <param name="Parts">The parts that make room, in the anchor's band while it hits.</param>
/// <param name="AnchorDbfs">The kick itself, in the same band and at the same times, with both its microphones.</param>
/// <param name="SameFramesBeforeFirstHit">How many frames of the sub, from the song's start, are the same bits with and without its keyed cut.</param>
internal sealed record DemoComparison(
    IReadOnlyList<PartChange> Parts, LevelChange AnchorDbfs, LevelChange ClearanceDb, LevelChange MixPeakAmplitude, long SameFramesBeforeFirstHit)
{
    private const int AnchorBand = 1; // 30-60 Hz

    private static readonly (string Part, string Before, string After)[] Makers = [("sub", "sub", "subRoom"), ("grit", "grit", "gritRoom")];

    /// <summary>The band in which levels are compared.</summary>
    public static Band Band => BandLevels.Bands[AnchorBand];

    /// <summary>Renders and measures.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static DemoComparison Measure(OpenGraph open, CancellationToken cancellation)
    {
        var before = Render(open, WithoutTreatment(open.Loaded.Document), cancellation);
        var after = Render(open, open.Loaded.Document, cancellation);

        var parts = Makers.Select(maker => new PartChange(maker.Part, new(HitLevel(before, maker.Before), HitLevel(after, maker.After)))).ToList();
        var anchor = new LevelChange(HitLevel(before, "kickWhole"), HitLevel(after, "kickWhole"));
        var clearance = new LevelChange(
            anchor.Before - PowerSum(parts.Select(part => part.LevelDbfs.Before)), anchor.After - PowerSum(parts.Select(part => part.LevelDbfs.After)));
        return new(parts, anchor, clearance, new(Peak(before["mix"]), Peak(after["mix"])), SameFrames(after["sub"], after["subRoom"]));
    }

    /// <summary>All that treats is bypassed; sums stay, so that levels can be compared.</summary>
    private static GraphDocument WithoutTreatment(GraphDocument document) =>
        document with { Nodes = [.. document.Nodes.Select(node => node.Type.Name == "mix" ? node : node with { Bypass = true })] };

    private static MemoryOutputs Render(OpenGraph open, GraphDocument document, CancellationToken cancellation)
    {
        string[] taps = ["sub", "grit", "subRoom", "gritRoom", "kick", "beaterUp", "mix"];
        var tapped = document with
        {
            Outputs = [.. taps.Select(tap => new OutputEntry(tap, default, new(tap, default), new(tap, default), SampleEncoding.Float32, null, 0))],
        };
        var plan = OpenGraph.PlanOf(open.Loaded, tapped);
        var memory = new MemoryOutputs();
        Renderer.Render(plan, open.Loaded.Stems.Readers, taps.ToDictionary(tap => tap), memory, new RenderOptions(), null, cancellation);
        memory.Add("kickWhole", memory["kick"], memory["beaterUp"]);
        return memory;
    }

    private static double HitLevel(MemoryOutputs outputs, string name) =>
        BandLevels.From(outputs[name], DemoScore.SampleRateHz, [.. DemoScore.Kicks.Select(kick => kick.StartFrame)])[AnchorBand] ?? double.NegativeInfinity;

    private static double PowerSum(IEnumerable<double> levels) => 10 * Math.Log10(levels.Sum(level => Math.Pow(10, level / 10)));

    private static double Peak(Signal signal)
    {
        var peak = 0.0;
        for (var channel = 0; channel < signal.Channels; channel++)
        {
            foreach (var sample in signal[channel])
                peak = Math.Max(peak, Math.Abs(sample));
        }

        return peak;
    }

    private static long SameFrames(Signal one, Signal other)
    {
        var frame = 0;
        while (frame < one.Frames && BitConverter.DoubleToInt64Bits(one[0][frame]) == BitConverter.DoubleToInt64Bits(other[0][frame]))
            frame++;
        return frame;
    }
}

/// <summary>A part and how its level changed.</summary>
internal sealed record PartChange(string Part, LevelChange LevelDbfs);

/// <summary>A figure without and with the clean-up.</summary>
internal readonly record struct LevelChange(double Before, double After);
