using RenderGraph.Graph.Contracts;

namespace RenderGraph.Testing;

/// <summary>Runs one node as the engine would.</summary>
public static class NodeRunner
{
    // Of nodes that are given a key earlier: their signal comes first.
    private const int KeyInput = 1;

    /// <summary>Prepares a node and runs it over whole inputs.</summary>
    /// <param name="inputs">All equally long. Held back before, all but the key, if the node must be given its key earlier.</param>
    /// <param name="blockFrames">Lengths of the blocks, over and over; default 1,024.</param>
    /// <param name="gainsDb">The connections' gains, for a port that takes many.</param>
    /// <param name="outputChannels">Default: as many as the widest input. A node with a key wider than its signal must be told.</param>
    public static Signal Run(
        INode node, int sampleRateHz, Signal[] inputs, int[]? blockFrames = null, double[]? gainsDb = null, int? outputChannels = null)
    {
        blockFrames ??= [1024];
        var frames = inputs[0].Frames;
        (var format, inputs) = Aligned(node, sampleRateHz, inputs, blockFrames.Max(), gainsDb, outputChannels);

        node.Prepare(format);
        if (node is IListeningNode { MustListen: true } listener)
        {
            foreach (var (start, count) in Cuts(frames, blockFrames))
                listener.Listen(start, inputs[listener.ListenInput].Slice(start, count));
            var settled = listener.Settle();
            node.Prepare(format);
            listener.Recall(settled);
        }

        // What a node leaves unwritten is not a number, and shows.
        var output = Signals.Constant(double.NaN, frames, format.OutputChannels);
        foreach (var (start, count) in Cuts(frames, blockFrames))
            node.Process(new Block(start, [.. inputs.Select(input => input.Slice(start, count))], output.Slice(start, count)));
        return output;
    }

    /// <summary>The inputs as the engine would bring them, all but the key held back if the node must be given its key earlier, and the format that says so.</summary>
    public static (NodeFormat Format, Signal[] Inputs) Aligned(
        INode node, int sampleRateHz, Signal[] inputs, int maxBlockFrames, double[]? gainsDb = null, int? outputChannels = null)
    {
        var leadFrames = node.KeyLeadFrames(sampleRateHz);
        var delays = inputs.Select((_, index) => index == KeyInput ? 0 : leadFrames).ToArray();
        return (
            new(
                sampleRateHz, [.. inputs.Select((input, index) => new InputFormat(input.Channels, gainsDb?[index] ?? 0, delays[index]))],
                outputChannels ?? inputs.Max(input => input.Channels), maxBlockFrames),
            [.. inputs.Select((input, index) => delays[index] == 0 ? input : HeldBack(input, delays[index]))]);
    }

    /// <summary>One input, no more to say.</summary>
    public static Signal Run(INode node, int sampleRateHz, Signal input, int[]? blockFrames = null) =>
        Run(node, sampleRateHz, [input], blockFrames);

    /// <summary>How far what <see cref="Run(INode, int, Signal[], int[], double[], int?)"/> gives lies behind its inputs.</summary>
    public static int LatencyFrames(INode node, int sampleRateHz) => node.LatencyFrames(sampleRateHz) + node.KeyLeadFrames(sampleRateHz);

    // Cut off at its length.
    private static Signal HeldBack(Signal signal, int frames) =>
        Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => frame < frames ? 0 : signal[channel][frame - frames]);

    private static IEnumerable<(int Start, int Count)> Cuts(int frames, int[] blockFrames)
    {
        for (var (start, index) = (0, 0); start < frames; index++)
        {
            var count = Math.Min(blockFrames[index % blockFrames.Length], frames - start);
            yield return (start, count);
            start += count;
        }
    }
}
