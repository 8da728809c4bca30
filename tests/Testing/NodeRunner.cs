using RenderGraph.Graph.Contracts;

namespace RenderGraph.Testing;

/// <summary>Runs one node as the engine would.</summary>
public static class NodeRunner
{
    /// <summary>Prepares a node and runs it over whole inputs.</summary>
    /// <param name="inputs">All equally long.</param>
    /// <param name="blockFrames">Lengths of the blocks, over and over; default 1,024.</param>
    /// <param name="gainsDb">The connections' gains, for a port that takes many.</param>
    /// <param name="outputChannels">Default: as many as the widest input. A node with a key wider than its signal must be told.</param>
    public static Signal Run(
        INode node, int sampleRateHz, Signal[] inputs, int[]? blockFrames = null, double[]? gainsDb = null, int? outputChannels = null)
    {
        blockFrames ??= [1024];
        var frames = inputs[0].Frames;
        var format = new NodeFormat(
            sampleRateHz, [.. inputs.Select((input, index) => new InputFormat(input.Channels, gainsDb?[index] ?? 0))],
            outputChannels ?? inputs.Max(input => input.Channels), blockFrames.Max());

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

    /// <summary>One input, no more to say.</summary>
    public static Signal Run(INode node, int sampleRateHz, Signal input, int[]? blockFrames = null) =>
        Run(node, sampleRateHz, [input], blockFrames);

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
