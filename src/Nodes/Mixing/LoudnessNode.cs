using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Loudness;

namespace RenderGraph.Nodes.Mixing;

/// <summary>How loud something is to become.</summary>
/// <param name="LoudnessLufs">The integrated loudness wanted.</param>
/// <param name="Channels">Those of the file.</param>
public sealed record LoudnessParameters(double LoudnessLufs, FileChannels Channels)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static LoudnessParameters Read(IParameterSource source) => new(
        source.Number(nameof(LoudnessLufs), min: -50, max: -5, otherwise: null, "The integrated loudness wanted."),
        source.Choice(nameof(Channels), FileChannels.AsHeard, "Those of the file: mono and stereo read differently."));
}

/// <summary>How many channels a file has.</summary>
public enum FileChannels
{
    /// <summary>As many as the signal.</summary>
    AsHeard,

    /// <summary>Half of left plus right.</summary>
    Mono,

    /// <summary>A mono signal on both sides.</summary>
    Stereo,
}

/// <summary>
/// Gives its first input the gain with which its second would read the loudness wanted: that one is heard to the end in a pass before. Something too short or too soft to have a loudness is left alone.
/// </summary>
public sealed class LoudnessNode(LoudnessParameters parameters) : IListeningNode, IFigureSource
{
    private const string Integrated = "integratedLufs";
    private const double StepsPerLu = 100;
    private const double MostGainDb = 36;

    // Stands for "not measurable": far from any loudness.
    private const double NoLoudness = 1000;

    private readonly LoudnessMeter _meter = new(new HashSet<string> { Integrated });
    private Signal[] _heard = [];
    private LoudnessNode _ear = null!; // the one of those at one signal that hears it
    private double? _settled;
    private double _measuredLufs = NoLoudness;
    private double _amplitude = 1;

    /// <summary>The type. It stands in no graph: an output asks for it by its <c>loudnessLufs</c>.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "loudness", version: 1, "Brings an output to a loudness, measured in a pass before.", [Port.Input, new Port("of", PortKind.Heard)],
        LoudnessParameters.Read, parameters => new LoudnessNode(parameters));

    /// <inheritdoc/>
    public bool MustListen => true;

    /// <inheritdoc/>
    public int ListenInput => 1;

    /// <inheritdoc/>
    public string ListenKind => $"loudness {parameters.Channels}";

    /// <inheritdoc/>
    public IReadOnlyList<Figure> Figures =>
        [new("heardLufs", _measuredLufs == NoLoudness ? null : _measuredLufs), new("gainDb", GainDb)];

    private double GainDb => _measuredLufs == NoLoudness ? 0 : Math.Min(MostGainDb, parameters.LoudnessLufs - _measuredLufs);

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        var heard = format.Inputs[ListenInput];
        (_ear, _settled) = (this, null);
        var channels = parameters.Channels switch { FileChannels.Mono => 1, FileChannels.Stereo => 2, _ => heard.Channels };
        _heard = [Signal.Allocate(channels, format.MaxBlockFrames)];
        _meter.Prepare(new(format.SampleRateHz, [channels], format.MaxBlockFrames));
        (_measuredLufs, _amplitude) = (NoLoudness, 1);
    }

    /// <inheritdoc/>
    public void Listen(long songFrame, Signal heard)
    {
        // The file will begin with the song, and so do the windows of its loudness.
        var early = (int)Math.Clamp(-songFrame, 0, heard.Frames);
        heard = heard.Slice(early, heard.Frames - early);
        var written = _heard[0].Slice(0, heard.Frames);
        for (var channel = 0; channel < written.Channels; channel++)
        {
            if (written.Channels == 1 && heard.Channels == 2)
                Planes.Scale(heard[0], 0.5, written[0]);
            else
                heard[Math.Min(channel, heard.Channels - 1)].CopyTo(written[channel]);
        }

        if (written.Channels == 1 && heard.Channels == 2)
            Planes.AddScaled(heard[1], 0.5, written[0]);
        _meter.Hear([written]);
    }

    /// <inheritdoc/>
    public IListener HearTogether(IReadOnlyList<IListeningNode> listeners)
    {
        foreach (var listener in listeners.Cast<LoudnessNode>())
            listener._ear = this;
        return this;
    }

    /// <inheritdoc/>
    public double Settle() => _ear._settled ??= _ear._meter.Conclude().Single().Value is { } lufs ? Math.Round(lufs * StepsPerLu, MidpointRounding.AwayFromZero) / StepsPerLu : NoLoudness;

    /// <inheritdoc/>
    public void Recall(double settled)
    {
        _measuredLufs = settled;
        _amplitude = Decibels.ToAmplitude(GainDb);
    }

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
            Planes.Scale(block.Input[channel], _amplitude, block.Output[channel]);
    }
}
