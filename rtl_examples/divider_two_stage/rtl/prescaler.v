// Counts clocks in which it is enabled, and says when RATIO of them are full.
module prescaler #(
    parameter RATIO = 10
) (
    input  wire clk,
    input  wire rst_n,
    input  wire enable,
    output wire full
);
    function integer bits_for(input integer values);
        begin
            bits_for = 1;
            while ((1 << bits_for) < values)
                bits_for = bits_for + 1;
        end
    endfunction

    reg [bits_for(RATIO)-1:0] count;

    assign full = enable && count == RATIO - 1;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)      count <= 0;
        else if (full)   count <= 0;
        else if (enable) count <= count + 1;
endmodule
