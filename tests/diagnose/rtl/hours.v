// Two digits, 00 to 23, with a fault on demand.
module hours (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output reg  [3:0] ones,
    output reg  [3:0] tens
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire last = `F(1) ? {tens, ones} == 8'h24 : `F(2) ? {tens, ones} == 8'h22 : `F(3) ? {tens, ones} == 8'd23 :
                `F(4) ? {tens, ones} == 8'h19 : {tens, ones} == 8'h23;
    always @(posedge clk or posedge rst)
        if (rst) {tens, ones} <= 0;
        else if (enable) begin
            if (ones == 9) begin
                ones <= 0;
                tens <= tens + 4'd1;
            end else ones <= ones + 4'd1;
            if (last) begin
                if (!`F(5)) tens <= 0;
                if (!`F(6)) ones <= `F(7) ? 4'd1 : 4'd0;
            end
        end
`undef F
endmodule
