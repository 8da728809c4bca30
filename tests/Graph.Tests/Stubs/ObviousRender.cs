using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Testing;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>
/// What a song of stub nodes must sound like, found the obvious way: every signal is one array over the whole song, nothing is ever late, nothing is
/// shared, cut into blocks or reused. Says nothing of latency, so it also says what aligned paths must give.
/// </summary>
internal sealed class ObviousRender(Song song)
{
    private readonly GraphDocument _document = song.Document;
    private readonly Dictionary<(string, bool), Signal> _known = [];

    /// <summary>The end of the last stem.</summary>
    private int LengthFrames => Math.Max(0, _document.Stems.Max(stem => Frames(stem.StartMs) + song.Stems[stem.Id].Frames));

    /// <summary>All outputs, by name.</summary>
    public Dictionary<string, Signal> Outputs => _document.Outputs.ToDictionary(output => output.Id, output =>
    {
        var from = (output.Kind == OutputKind.Untreated ? Untreated(output.From.Value) : Of(output.From.Value, asKey: false)).Slice(0, LengthFrames + Frames(output.TailMs));
        return (from.Channels, output.Channels) switch
        {
            (1, 2) => Signals.Stereo(from, from),
            (2, 1) => Signals.Fill(1, from.Frames, (_, frame) => (from[0][frame] + from[1][frame]) * 0.5),
            _ => from,
        };
    });

    private Signal Of(string id, bool asKey)
    {
        if (!_known.TryGetValue((id, asKey), out var signal))
            _known.Add((id, asKey), signal = Find(id, asKey));
        return signal;
    }

    private Signal Find(string id, bool asKey)
    {
        var allFrames = LengthFrames + Frames(_document.Outputs.Max(output => output.TailMs));
        if (_document.Stems.FirstOrDefault(stem => stem.Id == id) is { } found)
        {
            var samples = song.Stems[id];
            return Signals.Fill(samples.Channels, allFrames, (channel, frame) =>
            {
                var at = frame - Frames(found.StartMs);
                return (!found.Muted || asKey) && at >= 0 && at < samples.Frames ? samples[channel][at] : 0;
            });
        }

        var node = _document.NodesAndSteps.Single(node => node.Id == id);
        if (node.Type.IsChain)
            return Of(node.Steps[^1].Id, asKey);
        var chain = _document.Nodes.SingleOrDefault(chain => chain.Steps.Contains(node));
        var number = chain?.Steps.ToList().IndexOf(node) ?? 0;
        var inputs = node.Inputs
            .Select((input, index) => Of(
                input?.From ?? (number == 0 ? chain!.Inputs[0]!.From : chain!.Steps[number - 1].Id), asKey || (index > 0 && !node.Type.Ports[0].IsMany)))
            .ToList();
        if (node.Bypass || chain is { Bypass: true })
            return node.Type.Ports[0].IsMany ? Sum(inputs, inputs.ConvertAll(_ => 1.0), allFrames) : inputs[0];
        return node.Type.Name switch
        {
            "late" => inputs[0],
            "sum" => Sum(inputs, [.. node.Inputs.Select(input => input!.GainDb == SumNode.FlipDb ? -1.0 : 1.0)], allFrames),
            "keyed" => Scaled(inputs[0], (channel, frame) => At(inputs[1], channel, frame)),
            "listener" => Louder(inputs[0], Loudest(inputs[1])),
            "lane" => Remembered(inputs[0], (_, _) => 1),
            "laneKeyed" => Remembered(inputs[0], (channel, frame) => At(inputs[1], channel, frame)),
            "laneListener" => Louder(Remembered(inputs[0], (_, _) => 1), Loudest(inputs[0])),
            _ => throw new ArgumentException(node.Type.Name),
        };
    }

    /// <summary>The stems behind a point, added up, in another order than ours; none of the stub nodes is there to listen through.</summary>
    private Signal Untreated(string point)
    {
        var stems = Behind(point, steering: false).ToHashSet();
        var isSum = IsBehindSum(point);
        var fullest = _document.Outputs.Where(output => IsBehindSum(output.From.Value)).Select(output => Behind(output.From.Value, false).Distinct().Count()).DefaultIfEmpty(0).Max();
        var heard = _document.Outputs.SelectMany(output => Behind(output.From.Value, false)).ToHashSet();
        var steering = _document.NodesAndSteps.Where(node => !IsBypassed(node) && !node.Type.Ports[0].IsMany && node.Inputs.Count > 1).SelectMany(node => Behind(node.Inputs[1]!.From, true)).ToHashSet();
        if (isSum && stems.Count >= fullest)
            stems.UnionWith(_document.Stems.Select(stem => stem.Id).Where(stem => !heard.Contains(stem) && !steering.Contains(stem)));
        var parts = _document.Stems.Where(stem => stems.Contains(stem.Id) && !(stem.Muted && steering.Contains(stem.Id))).Select(stem => Of(stem.Id, asKey: true)).ToList();
        var frames = LengthFrames + Frames(_document.Outputs.Max(output => output.TailMs));
        return parts.Count == 0 ? Signals.Silence(frames, stems.Max(stem => song.Stems[stem].Channels)) : Sum(parts, parts.ConvertAll(_ => 1.0), frames);
    }

    private IEnumerable<string> Behind(string point, bool steering) =>
        _document.Stems.Any(stem => stem.Id == point) ? [point] : InputsOf(point).Where(input => steering || !input.IsKey).SelectMany(input => Behind(input.From, steering));

    private bool IsBehindSum(string point) =>
        _document.Stems.All(stem => stem.Id != point) && (_document.NodesAndSteps.Single(node => node.Id == point).Type.Ports[0].IsMany || IsBehindSum(InputsOf(point).First().From));

    private IEnumerable<(string From, bool IsKey)> InputsOf(string point)
    {
        var node = _document.NodesAndSteps.Single(node => node.Id == point);
        if (node.Type.IsChain)
            return [(node.Steps[^1].Id, false)];
        var chain = _document.Nodes.SingleOrDefault(chain => chain.Steps.Contains(node));
        var number = chain?.Steps.ToList().IndexOf(node) ?? 0;
        return node.Inputs.Select((input, index) => (input?.From ?? (number == 0 ? chain!.Inputs[0]!.From : chain!.Steps[number - 1].Id), index > 0 && !node.Type.Ports[0].IsMany))
            .Where(input => !(input.Item2 && IsBypassed(node)));
    }

    private bool IsBypassed(NodeEntry node) => node.Bypass || _document.Nodes.Any(chain => chain.Bypass && chain.Steps.Contains(node));

    private static double At(Signal signal, int channel, int frame) => signal[Math.Min(channel, signal.Channels - 1)][frame];

    /// <summary>Over the song; what only a tail hears does not count.</summary>
    private double Loudest(Signal heard) => Signals.Peak(heard.Slice(0, LengthFrames));

    private static Signal Scaled(Signal signal, Func<int, int, double> factor) =>
        Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => signal[channel][frame] * factor(channel, frame));

    private static Signal Louder(Signal signal, double factor) => Scaled(signal, (_, _) => factor);

    private static Signal Remembered(Signal signal, Func<int, int, double> key)
    {
        var last = 0.0;
        return Signals.Fill(signal.Channels, signal.Frames, (channel, frame) =>
            last = LaneNode.Remember(signal[channel][frame] * key(channel, frame), frame == 0 ? 0 : last));
    }

    private static Signal Sum(List<Signal> inputs, List<double> signs, int frames) =>
        Signals.Fill(inputs.Max(input => input.Channels), frames, (channel, frame) =>
        {
            var sum = 0.0;
            for (var index = 0; index < inputs.Count; index++)
                sum += signs[index] * At(inputs[index], channel, frame);
            return sum;
        });

    private static int Frames(double ms) => (int)Math.Round(ms * Song.SampleRateHz / 1000, MidpointRounding.AwayFromZero);
}
