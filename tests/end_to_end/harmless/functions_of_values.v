// holds: functions of values
module dial (input clk, input rst, input en, output reg [3:0] q);
    localparam W = $clog2(10);
    wire [W-1:0] next = $unsigned($signed(q) + $signed(5'sd1));
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : next;
    wire [$bits(q)-1:0] copy = q;
endmodule
