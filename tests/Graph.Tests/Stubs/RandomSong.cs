using System.Globalization;
using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Graphs of every shape, up to 24 nodes: all stub types, chains, bypasses, muted stems, odd starts, tails, several outputs.</summary>
internal static class RandomSong
{
    private static readonly Gen<(int Kind, int In, int Key, int Number, int Dice)> Choice =
        Gen.Select(Gen.Int[0, 8], Gen.Int[0, 999], Gen.Int[0, 999], Gen.Int[0, 40], Gen.Int[0, 9]);

    /// <summary>Songs of up to some 700 frames.</summary>
    public static Gen<Song> Any { get; } =
        Gen.Select(Choice.Array[1, 4], Choice.Array[0, 24], Choice.Array[1, 3], (stems, nodes, outputs) => Make(stems, nodes, outputs));

    private static Song Make(
        (int Kind, int In, int Key, int Number, int Dice)[] stems, (int Kind, int In, int Key, int Number, int Dice)[] nodes,
        (int Kind, int In, int Key, int Number, int Dice)[] outputs)
    {
        var names = stems.Select((_, index) => $"s{index}").ToList();
        var texts = new List<string>();
        for (var index = 0; index < nodes.Length; index++)
        {
            // The order of names has nothing to do with the order of work.
            var name = $"n{index * 37 % 97}";
            texts.Add($"\"{name}\": {{ {Node(nodes[index], names)}{(nodes[index].Dice == 0 ? ", \"bypass\": true" : "")} }}");
            names.Add(name);
            if (nodes[index].Kind == 8)
                names.AddRange([name + ".1", name + ".2"]);
        }

        var song = new Song(string.Join(",\n    ", texts));
        for (var index = 0; index < stems.Length; index++)
        {
            var (kind, frames, seed, start, dice) = stems[index];
            song.Stem(
                $"s{index}", WithGaps(Signals.Noise(frames * 2 / 3, seed, channels: 1 + (kind % 2)), 40 + seed),
                string.Create(CultureInfo.InvariantCulture, $"\"startMs\": {(dice < 6 ? 0 : dice < 8 ? start / 2 : -start)}, \"muted\": {(dice is 2 or 6 ? "true" : "false")}"));
        }

        for (var index = 0; index < outputs.Length; index++)
        {
            var (kind, from, _, tail, _) = outputs[index];
            var channels = (kind % 3) switch { 0 => "", 1 => "\"channels\": \"mono\", ", _ => "\"channels\": \"stereo\", " };
            // The newest names first: most of the graph is then heard.
            var point = names[^(1 + (from % names.Count / 2))];
            song.Output(point, $"o{index}", $"{channels}\"tailMs\": {(tail % 2 == 0 ? tail : 0)}");
            song.Output(point, $"u{index}", "\"kind\": \"untreated\"");
        }

        return song;
    }

    /// <summary>Every third stretch is silent.</summary>
    private static Signal WithGaps(Signal signal, int stretchFrames) =>
        Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => frame / stretchFrames % 3 == 1 ? 0 : signal[channel][frame]);

    private static string Node((int Kind, int In, int Key, int Number, int Dice) choice, List<string> names)
    {
        var (kind, first, second, number, dice) = choice;
        var input = names[first % names.Count];
        var key = names[second % names.Count];
        return kind switch
        {
            0 => $"\"type\": \"late\", \"in\": \"{input}\", \"latencyFrames\": {number}",
            1 => $"\"type\": \"sum\", \"in\": [\"{input}\", \"{key}\"]",
            2 => string.Create(CultureInfo.InvariantCulture, $"\"type\": \"sum\", \"in\": [\"{input}\", {{ \"from\": \"{key}\", \"gainDb\": {SumNode.FlipDb} }}, \"{input}\"]"),
            3 => $"\"type\": \"keyed\", \"in\": \"{input}\", \"key\": \"{key}\", \"leadFrames\": {number}",
            4 => $"\"type\": \"listener\", \"in\": \"{input}\", \"key\": \"{key}\"",
            5 => $"\"type\": \"lane\", \"in\": \"{input}\", \"kind\": {number % 2}",
            6 => $"\"type\": \"laneKeyed\", \"in\": \"{input}\", \"key\": \"{key}\"",
            7 => $"\"type\": \"laneListener\", \"in\": \"{input}\"",
            _ => $"\"type\": \"chain\", \"in\": \"{input}\", \"steps\": [{{ \"type\": \"lane\" }}, {Step(number, key, dice)}]",
        };
    }

    private static string Step(int number, string key, int dice) => (number % 4) switch
    {
        0 => $"{{ \"type\": \"late\", \"latencyFrames\": {number} }}",
        1 => $"{{ \"type\": \"keyed\", \"key\": \"{key}\", \"leadFrames\": {number} }}",
        2 => $"{{ \"type\": \"laneListener\", \"bypass\": {(dice == 1 ? "true" : "false")} }}",
        _ => "{ \"type\": \"lane\" }",
    };
}
