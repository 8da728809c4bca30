using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Nodes.Tests;

/// <summary>Answers with values drawn by lot from what a node allows, optional ones left out half of the time.</summary>
internal sealed class RandomParameters(int seed, int sampleRateHz) : IParameterSource
{
    private readonly Random _random = new(seed);

    /// <summary>Everything answered, as the record of parameters shows it.</summary>
    public Dictionary<string, object?> Given { get; } = [];

    public bool IsRefused { get; private set; }

    /// <summary>Nodes of a type with parameters drawn by lot; draws that contradict themselves are left out.</summary>
    public static IEnumerable<INode> Nodes(NodeType type, int count, int sampleRateHz)
    {
        for (var seed = 0; count > 0; seed++)
        {
            var source = new RandomParameters(seed, sampleRateHz);
            var node = type.Create(source);
            if (source.IsRefused)
                continue;
            count--;
            yield return node;
        }
    }

    public double Number(string name, double min, double max, double? otherwise, string about) => Give(name, min + (_random.NextDouble() * (max - min)));

    public double? OptionalNumber(string name, double min, double max, string about) =>
        _random.Next(2) == 0 ? Give(name, (double?)null) : Number(name, min, max, null, about);

    public double FrequencyHz(string name, double min, double max, double? otherwise, string about)
    {
        max = Math.Min(max, 0.45 * sampleRateHz);
        return Give(name, min * Math.Pow(max / min, _random.NextDouble()));
    }

    public double? OptionalFrequencyHz(string name, double min, double max, string about) =>
        _random.Next(2) == 0 ? Give(name, (double?)null) : FrequencyHz(name, min, max, null, about);

    public double OneOf(string name, IReadOnlyList<double> allowed, double otherwise, string about) => Give(name, allowed[_random.Next(allowed.Count)]);

    public T Choice<T>(string name, T otherwise, string about) where T : struct, Enum => Give(name, Enum.GetValues<T>()[_random.Next(Enum.GetValues<T>().Length)]);

    public bool Flag(string name, bool otherwise, string about) => Give(name, _random.Next(2) == 0);

    public double? BeatMs => 500;

    /// <summary>With every second seed; some lie close together, one at the start.</summary>
    public IReadOnlyList<Hit>? KeyHits { get; } = seed % 2 == 0 ? [new(0, 1), new(1000, 0.3), new(1500, 1.1), new(5000, 0.5)] : null;

    public bool IsGiven(string name) => false;

    public void Refuse(string name, string sentence, string remedy) => IsRefused = true;

    private T Give<T>(string name, T value)
    {
        Given[name] = value;
        return value;
    }
}
