using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Mixing;

/// <summary>What a mix is asked to do.</summary>
/// <param name="GainDb">Over the whole sum.</param>
public sealed record MixParameters(double GainDb)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static MixParameters Read(IParameterSource source) =>
        new(source.Number(nameof(GainDb), min: -96, max: 36, otherwise: 0, "Gain over the whole sum; 0 changes no bit."));
}

/// <summary>Adds signals up, in the order written.</summary>
public sealed class MixNode(MixParameters parameters) : INode
{
    private readonly double _amplitude = Decibels.ToAmplitude(parameters.GainDb);
    private double[] _inputAmplitudes = [];

    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "mix", version: 1,
        "Adds signals up in the order written, each with a gain of its own: { \"from\": \"bass\", \"gainDb\": -1 }. At unity: the level never depends on "
        + "how many come in, and nothing clips here. A mono part goes to both sides of a stereo mix as it is.",
        [Port.Inputs], MixParameters.Read, parameters => new MixNode(parameters));

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format) => _inputAmplitudes = [.. format.Inputs.Select(input => Decibels.ToAmplitude(input.GainDb))];

    /// <inheritdoc/>
    public bool IsAtRest => true;

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            var sum = block.Output[channel];
            var isEmpty = true;
            for (var index = 0; index < block.Inputs.Length; index++)
            {
                var input = block.Inputs[index];
                if (input.IsSilent)
                    continue;
                var plane = input[Math.Min(channel, input.Channels - 1)];
                if (isEmpty)
                    Planes.Scale(plane, _inputAmplitudes[index], sum);
                else
                    Planes.AddScaled(plane, _inputAmplitudes[index], sum);
                isEmpty = false;
            }

            if (isEmpty)
                sum.Clear();
            Planes.Scale(sum, _amplitude, sum);
        }
    }
}
