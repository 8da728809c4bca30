using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Testing;

/// <summary>Makes nodes from values, without a graph.</summary>
public static class NodeFactory
{
    /// <summary>A node with these parameters, named as in the graph, and defaults for the rest: numbers, enumeration values or their names, true and false.</summary>
    /// <remarks>What a graph would know: <c>keyHits</c>, a list of <see cref="Hit"/>, and <c>beatMs</c>.</remarks>
    /// <exception cref="ArgumentException">A value is out of bounds, missing, refused, or asked for by nobody.</exception>
    public static INode Create(NodeType type, params (string Name, object Value)[] values)
    {
        var source = new GivenParameters(values);
        var node = type.Create(source);
        return source.Faults.Count == 0 ? node : throw new ArgumentException($"{type.Name}: {string.Join("; ", source.Faults)}");
    }

    /// <summary>What the node type has against these values: nothing if they are fine.</summary>
    public static IReadOnlyList<string> Faults(NodeType type, params (string Name, object Value)[] values)
    {
        var source = new GivenParameters(values);
        type.Create(source);
        return source.Faults;
    }

    private sealed class GivenParameters(IEnumerable<(string Name, object Value)> values) : IParameterSource
    {
        private readonly Dictionary<string, object> _values = values.ToDictionary(pair => pair.Name, pair => pair.Value);
        private readonly HashSet<string> _asked = [];
        private readonly List<string> _faults = [];

        public IReadOnlyList<string> Faults =>
            [.. _faults, .. _values.Keys.Where(name => !_asked.Contains(name)).Select(name => $"nobody asks for {name}")];

        public double Number(string name, double min, double max, double? otherwise, string about) =>
            Bounded(name, min, max) ?? otherwise ?? Missing(name, min);

        public double? OptionalNumber(string name, double min, double max, string about) => Bounded(name, min, max);

        public double FrequencyHz(string name, double min, double max, double? otherwise, string about) => Number(name, min, max, otherwise, about);

        public double? OptionalFrequencyHz(string name, double min, double max, string about) => Bounded(name, min, max);

        public double OneOf(string name, IReadOnlyList<double> allowed, double otherwise, string about)
        {
            if (Find(name) is not { } value)
                return otherwise;
            var number = Convert.ToDouble(value, System.Globalization.CultureInfo.InvariantCulture);
            if (allowed.Contains(number))
                return number;
            _faults.Add($"{ParameterName.InGraph(name)} is {ParameterName.Write(number)}, which is none of the values allowed");
            return otherwise;
        }

        public T Choice<T>(string name, T otherwise, string about) where T : struct, Enum => Find(name) switch
        {
            null => otherwise,
            T value => value,
            var text => Enum.GetValues<T>().Single(value => ParameterName.InGraph(value.ToString()) == (string)text),
        };

        public bool Flag(string name, bool otherwise, string about) => (bool?)Find(name) ?? otherwise;

        public double? BeatMs => (double?)Find("beatMs");

        public IReadOnlyList<Hit>? KeyHits => (IReadOnlyList<Hit>?)Find("keyHits");

        public bool IsGiven(string name) => _values.ContainsKey(ParameterName.InGraph(name));

        public void Refuse(string name, string sentence, string remedy) => _faults.Add($"{ParameterName.InGraph(name)}: {sentence}. {remedy}.");

        private double? Bounded(string name, double min, double max)
        {
            if (Find(name) is not { } value)
                return null;
            var number = Convert.ToDouble(value, System.Globalization.CultureInfo.InvariantCulture);
            if (!(number >= min && number <= max))
                _faults.Add($"{ParameterName.InGraph(name)} is {ParameterName.Write(number)}, which is not between {ParameterName.Write(min)} and {ParameterName.Write(max)}");
            return number;
        }

        private double Missing(string name, double answer)
        {
            _faults.Add($"{ParameterName.InGraph(name)} is missing");
            return answer;
        }

        private object? Find(string name)
        {
            _asked.Add(ParameterName.InGraph(name));
            return _values.GetValueOrDefault(ParameterName.InGraph(name));
        }
    }
}
