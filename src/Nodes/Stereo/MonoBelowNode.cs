using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Filters;

namespace RenderGraph.Nodes.Stereo;

/// <summary>What a mono-below is asked to do.</summary>
/// <param name="FrequencyHz">Where the side is at -3 dB.</param>
/// <param name="SlopeDbPerOctave">How fast the side falls away below.</param>
public sealed record MonoBelowParameters(double FrequencyHz, double SlopeDbPerOctave)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static MonoBelowParameters Read(IParameterSource source) => new(
        source.FrequencyHz(nameof(FrequencyHz), min: 20, max: 500, otherwise: 120, "Below it, left and right become one."),
        SlopeChoice.ReadSlopeDbPerOctave(source, nameof(SlopeDbPerOctave)));
}

/// <summary>
/// Takes what differs between left and right out of the lows. With side = (left - right) / 2 and change = highPass(side) - side, it gives left + change and
/// right - change: the sum of both sides stays, and where left and right are equal not one bit changes.
/// </summary>
public sealed class MonoBelowNode(MonoBelowParameters parameters) : INode
{
    private SectionCascade? _highPass;
    private double[] _side = [];
    private double[] _sideHigh = [];

    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "monoBelow", version: 1,
        "Makes the lows mono: below a frequency left and right become one, above it the width stays. For a bass that wanders or loses itself in mono; "
        + "nothing happens to a mono part. What was only in the difference is gone: if the lows get thin, the two sides were cancelling, and polarity or delay is the cure.",
        [Port.Input], MonoBelowParameters.Read, parameters => new MonoBelowNode(parameters));

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        _highPass = new(SectionDesign.HighPass(
            parameters.FrequencyHz, parameters.SlopeDbPerOctave, Alignment.Butterworth, format.SampleRateHz));
        _side = new double[format.MaxBlockFrames];
        _sideHigh = new double[format.MaxBlockFrames];
    }

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        if (block.Input.Channels == 1)
        {
            block.Input.CopyTo(block.Output);
            return;
        }

        var left = block.Input[0];
        var right = block.Input[1];
        var leftOut = block.Output[0];
        var rightOut = block.Output[1];
        var side = _side.AsSpan(0, block.Frames);
        var sideHigh = _sideHigh.AsSpan(0, block.Frames);
        for (var frame = 0; frame < side.Length; frame++)
            side[frame] = 0.5 * (left[frame] - right[frame]);

        _highPass!.Process(block.StartFrame, side, sideHigh);
        for (var frame = 0; frame < side.Length; frame++)
        {
            var change = sideHigh[frame] - side[frame];
            leftOut[frame] = left[frame] + change;
            rightOut[frame] = right[frame] - change;
        }
    }
}
