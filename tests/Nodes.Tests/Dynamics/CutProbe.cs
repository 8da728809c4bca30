using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Testing;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>
/// Reads a keyed cut's depth frame by frame: the signal is a tone at the cut's own frequency, its sine left and its cosine right. There the band-pass is
/// the tone itself, so the length of the pair is g. Valid once the band-pass has settled.
/// </summary>
public sealed class CutProbe
{
    public const double FrequencyHz = 50;
    public const int SampleRateHz = 48000;

    private readonly Signal _input, _output;

    /// <summary>Runs the cut, at 50 Hz unless told, with this key.</summary>
    public CutProbe(Signal key, params (string Name, object Value)[] parameters)
    {
        Node = NodeFactory.Create(KeyedCutNode.Type, [("frequencyHz", FrequencyHz), .. parameters]);
        LatencyFrames = NodeRunner.LatencyFrames(Node, SampleRateHz);
        var frames = key.Frames + LatencyFrames;
        _input = Signals.Stereo(Signals.Sine(FrequencyHz, SampleRateHz, frames), Signals.Sine(FrequencyHz, SampleRateHz, frames, phaseRadians: Math.PI / 2));
        _output = NodeRunner.Run(Node, SampleRateHz, [_input, Signals.WithTail(key, LatencyFrames)], outputChannels: 2);
        Frames = key.Frames;
    }

    public INode Node { get; }

    public int LatencyFrames { get; }

    /// <summary>Frames of the key.</summary>
    public int Frames { get; }

    /// <summary>How far down the tone is at that frame of the song.</summary>
    public double DepthDb(int frame)
    {
        var (sine, cosine) = (_output[0][frame + LatencyFrames], _output[1][frame + LatencyFrames]);
        return -20 * Math.Log10(Math.Sqrt((sine * sine) + (cosine * cosine)));
    }

    /// <summary>Whether every frame from one to before another is the input's, bit by bit.</summary>
    public bool IsUntouched(int start, int end) =>
        Signals.AreSameBits(_input.Slice(start, end - start), _output.Slice(start + LatencyFrames, end - start));

    public double? Figure(string name) => ((IFigureSource)Node).Figures.Single(figure => figure.Name == name).Value;

    /// <summary>A key of 50 Hz bursts of 100 ms, at these times and levels, that set in at full swing.</summary>
    public static Signal Bursts(double seconds, params (int Frame, double LevelDb)[] hits) =>
        Signals.Fill(1, (int)(seconds * SampleRateHz), (_, frame) => hits
            .Where(hit => frame >= hit.Frame && frame < hit.Frame + 4800)
            .Sum(hit => Math.Pow(10, hit.LevelDb / 20) * Math.Cos(2 * Math.PI * FrequencyHz * (frame - hit.Frame) / SampleRateHz)));
}
