using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Time;

/// <summary>What a delay is asked to do: exactly one is given.</summary>
/// <param name="DelayMs">Later above 0, earlier below.</param>
/// <param name="DelayFrames">The same in frames.</param>
public sealed record DelayParameters(double? DelayMs, double? DelayFrames)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static DelayParameters Read(IParameterSource source)
    {
        var delayMs = source.OptionalNumber(
            nameof(DelayMs), min: -100, max: 5000, "Later above 0, earlier below; fractions welcome. Give this or delayFrames.");
        var delayFrames = source.OptionalNumber(
            nameof(DelayFrames), min: -19200, max: 960000, "The same in frames of the render's sample rate; whole numbers copy every sample as it is.");
        if (delayMs is null && delayFrames is null)
            source.Refuse(nameof(DelayMs), "neither delayMs nor delayFrames is given, and a delay needs one of them", "Add delayMs");
        if (delayMs is not null && delayFrames is not null)
            source.Refuse(nameof(DelayFrames), "both delayMs and delayFrames are given, and a delay takes only one of them", "Delete one of the two");
        return new(delayMs, delayFrames);
    }
}

/// <summary>
/// Moves a signal in time. By whole frames it copies; in between it interpolates (<see cref="FractionalDelay"/>). Its latency is what it needs to be
/// causal: none when the signal is only moved later by whole frames.
/// </summary>
public sealed class DelayNode(DelayParameters parameters) : INode
{
    /// <summary>A delay this near to a whole number of frames is that number: what rounding leaves of a time in ms.</summary>
    private const double WholeToleranceFrames = 1e-6;

    private DelayLine[] _whole = [];
    private FractionalDelay[] _fractional = [];
    private double[] _between = [];

    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "delay", version: 1,
        "Moves a signal later, or earlier with a negative number: lines a layer up with the anchor so that their lows add. Helps only if the two keep their distance "
        + "from hit to hit. It never moves anything else: every other path is held back to match.",
        [Port.Input], DelayParameters.Read, parameters => new DelayNode(parameters));

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz)
    {
        var (whole, fraction) = Split(sampleRateHz);
        return Math.Max(0, (fraction == 0 ? 0 : FractionalDelay.WholeFrames) - whole);
    }

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        var (whole, fraction) = Split(format.SampleRateHz);
        var lineFrames = whole + LatencyFrames(format.SampleRateHz) - (fraction == 0 ? 0 : FractionalDelay.WholeFrames);
        _whole = [.. Enumerable.Range(0, format.OutputChannels).Select(_ => new DelayLine(lineFrames))];
        _fractional = fraction == 0
            ? []
            : [.. Enumerable.Range(0, format.OutputChannels).Select(_ => new FractionalDelay(fraction, format.MaxBlockFrames))];
        _between = new double[fraction == 0 ? 0 : format.MaxBlockFrames];
    }

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            if (_fractional.Length == 0)
            {
                _whole[channel].Process(block.Input[channel], block.Output[channel]);
                continue;
            }

            var between = _between.AsSpan(0, block.Frames);
            _whole[channel].Process(block.Input[channel], between);
            _fractional[channel].Process(between, block.Output[channel]);
        }
    }

    private (int Whole, double Fraction) Split(int sampleRateHz)
    {
        var frames = parameters.DelayFrames ?? ((parameters.DelayMs ?? 0) * sampleRateHz / 1000);
        var nearest = Math.Round(frames);
        return Math.Abs(frames - nearest) <= WholeToleranceFrames
            ? ((int)nearest, 0)
            : ((int)Math.Floor(frames), frames - Math.Floor(frames));
    }
}
