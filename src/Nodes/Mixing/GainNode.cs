using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Mixing;

/// <summary>What a gain is asked to do.</summary>
/// <param name="GainDb">Louder above 0, softer below.</param>
public sealed record GainParameters(double GainDb)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static GainParameters Read(IParameterSource source) =>
        new(source.Number(nameof(GainDb), min: -96, max: 36, otherwise: null, "Louder above 0, softer below; 0 changes no bit."));
}

/// <summary>Makes a signal louder or softer.</summary>
public sealed class GainNode(GainParameters parameters) : INode
{
    private readonly double _amplitude = Decibels.ToAmplitude(parameters.GainDb);

    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Level(
        "gain", version: 1,
        "Makes a signal louder or softer. Nothing clips on the way: only an integer output does, and says so.",
        GainParameters.Read, parameters => new GainNode(parameters));

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        // Keeps nothing from one frame to the next.
    }

    /// <inheritdoc/>
    public bool IsAtRest => true;

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
            Planes.Scale(block.Input[channel], _amplitude, block.Output[channel]);
    }
}
