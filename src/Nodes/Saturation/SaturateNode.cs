using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Speakers;

namespace RenderGraph.Nodes.Saturation;

/// <summary>What a saturation is asked to do.</summary>
/// <param name="Curve">How loud samples are bent.</param>
/// <param name="DriveDb">How hard the curve is driven; the level of what is quiet does not change with it.</param>
/// <param name="Blend">How much of what the curve changes is let in: 0 nothing, 1 all.</param>
/// <param name="TrimDb">Gain of the result.</param>
/// <param name="Oversampling">At how many times the rate the curve works.</param>
/// <param name="BelowHz">Only what lies below is driven; null drives everything.</param>
public sealed record SaturateParameters(
    SaturationCurve Curve, double DriveDb, double Blend, double TrimDb, int Oversampling, double? BelowHz)
{
    private static readonly double[] Factors = [1, 2, 4, 8];

    /// <summary>Names, bounds and defaults.</summary>
    public static SaturateParameters Read(IParameterSource source) => new(
        source.Choice(nameof(Curve), SaturationCurve.Tanh,
            "tanh and cubic bend softly (odd harmonics), biasedTanh bends one side sooner (even ones too), clip cuts hard."),
        source.Number(nameof(DriveDb), min: -24, max: 48, otherwise: 6, "How hard the curve is driven. What is quiet keeps its level."),
        source.Number(nameof(Blend), min: 0, max: 1, otherwise: 1, "How much of what the curve changes is let in; 0 changes nothing."),
        source.Number(nameof(TrimDb), min: -24, max: 24, otherwise: 0, "Gain of the result."),
        (int)source.OneOf(nameof(Oversampling), Factors, otherwise: 4,
            "At how many times the rate the curve works: harmonics past half the rate fold back less. 1 is for a bass whose harmonics stay low."),
        source.OptionalFrequencyHz(nameof(BelowHz), min: 20, max: 2000, "Only what lies below is driven (24 dB an octave). Left out, everything is."));
}

/// <summary>
/// Adds harmonics. <c>out = trim (x + blend residue)</c>, where the residue is what the curve does to the driven part (x, or what a low-pass leaves of it):
/// <c>down(curve(up(part)) - up(part))</c>. So what is not bent passes as it is, and blend 0 is a delay by the latency, bit by bit.
/// Harmonics pass flat to 0.42 of the rate (20.16 kHz at 48 kHz; at 44.1 kHz 18.5 kHz, and at most 1.2 dB less at 20 kHz): see <see cref="Oversampler"/>.
/// The curve with even harmonics makes an offset: it is taken out of the residue, never of the signal, by a first-order high-pass at 2 Hz.
/// </summary>
public sealed class SaturateNode(SaturateParameters parameters) : INode
{
    private const double OffsetCornerHz = 2;
    private const double BelowSlopeDbPerOctave = 24;

    // A driven part below -2000 dBFS is silence: its powers would be denormal.
    private const double RestAmplitude = 1e-100;

    private readonly double _drive = Decibels.ToAmplitude(parameters.DriveDb);
    private readonly double _trim = Decibels.ToAmplitude(parameters.TrimDb);

    private DelayLine[] _delays = [];
    private Oversampler[] _oversamplers = [];
    private SectionCascade? _below;
    private SectionCascade? _offsetBlock;
    private Signal _residue;
    private long _silentFrames;

    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "saturate", version: 1,
        "Adds harmonics, so that a deep bass is heard on small speakers too. Drive says how much, blend mixes it in; what is quiet keeps its level. "
        + "With belowHz only the lows are driven and everything above stays as it is. Loud peaks get lower: compare at equal level.",
        [Port.Input], SaturateParameters.Read, parameters => new SaturateNode(parameters), comparedBy: SpeakerMeter.Names);

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => Oversampler.LatencyFrames(parameters.Oversampling);

    /// <inheritdoc/>
    public bool IsAtRest =>
        // Twice the latency and a few frames after the last sound the filters hold nothing but zeros.
        _silentFrames > 3 * LatencyFrames(0) && _below is null or { IsAtRest: true } && _offsetBlock is null or { IsAtRest: true };

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        var rate = format.SampleRateHz;
        _delays = [.. Enumerable.Range(0, format.OutputChannels).Select(_ => new DelayLine(LatencyFrames(rate)))];
        _oversamplers = [.. Enumerable.Range(0, format.OutputChannels).Select(_ => new Oversampler(parameters.Oversampling))];
        _below = parameters.BelowHz is { } belowHz
            ? new(SectionDesign.LowPass(belowHz, BelowSlopeDbPerOctave, Alignment.Butterworth, rate))
            : null;
        _offsetBlock = parameters.Curve == SaturationCurve.BiasedTanh
            ? new([SectionDesign.HighPassFirstOrder(OffsetCornerHz, rate)])
            : null;
        _residue = Signal.Allocate(format.OutputChannels, Oversampler.MaxFrames);
        _silentFrames = 0;
    }

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        // Silence is counted from where the low-pass has come to rest.
        _silentFrames = block.Input.IsSilent && _below is null or { IsAtRest: true } ? _silentFrames + block.Frames : 0;

        for (var channel = 0; channel < block.Output.Channels; channel++)
            _delays[channel].Process(block.Input[channel], block.Output[channel]);
        if (parameters.Blend > 0)
        {
            for (var start = 0; start < block.Frames; start += Oversampler.MaxFrames)
            {
                var count = Math.Min(Oversampler.MaxFrames, block.Frames - start);
                AddResidue(block.StartFrame + start, block.Input.Slice(start, count), block.Output.Slice(start, count));
            }
        }

        if (_trim != 1)
        {
            for (var channel = 0; channel < block.Output.Channels; channel++)
                Planes.Scale(block.Output[channel], _trim, block.Output[channel]);
        }
    }

    private void AddResidue(long startFrame, Signal input, Signal output)
    {
        var residue = _residue.Slice(0, input.Frames);
        _below?.Process(startFrame, input, residue);
        var driven = _below is null ? input : residue;
        for (var channel = 0; channel < residue.Channels; channel++)
        {
            var oversampler = _oversamplers[channel];
            Planes.Settle(driven[channel], RestAmplitude, oversampler.Entrance(input.Frames));
            oversampler.Up(input.Frames);
            for (var plane = 0; plane < parameters.Oversampling; plane++)
                CurveResidue.Take(parameters.Curve, _drive, oversampler.Raised(plane, input.Frames), oversampler.Bent(plane, input.Frames));
            oversampler.Down(residue[channel]);
        }

        _offsetBlock?.Process(startFrame, residue, residue);
        for (var channel = 0; channel < residue.Channels; channel++)
            Planes.AddScaled(residue[channel], parameters.Blend, output[channel]);
    }
}
